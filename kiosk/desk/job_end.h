#ifndef KIOSK_DESK_JOB_END_H
#define KIOSK_DESK_JOB_END_H

#include "kiosk/desk/turn.h"

/* The end of a job: when its printer is empty, or when somebody, the printer or a script says how it ended. */

/* Nothing that went out for it is in the printer any more. */
bool job_is_empty(struct turn *turn, const struct job *job, bool *empty, struct fault *fault);
/* Something has left this printer: the job that runs there is over when nothing is in it any more. "": no printer. */
bool job_end_when_empty(struct turn *turn, const char *machine, struct fault *fault);

/* Ends a job that runs; minutes by the clock. `how` done, failed, aborted or "": nobody said; `used_ul` MOVEMENT_NULL:
 * nobody knows. */
bool job_end_book(struct turn *turn, const struct job *job, const char *how, int64_t used_ul, struct fault *fault);

/* What is on hold from now on until somebody has looked at it, since its job failed or was aborted. */
struct job_held {
    char units[COUNTER_UNITS][SERIAL_SIZE];
    size_t count;
};
bool job_held_book(struct turn *turn, const struct job *job, const char *unit, struct job_held *held,
                   struct fault *fault);

/* Act "job-end". What was used is booked out of cartridges and vat (job_use.h): as the printer told; else the need, or
 * a share of it in tenths, which is an estimate; else an unknown amount. After one that failed or was aborted, vat and
 * platform in the printer are on hold until somebody has inspected them. Of a job that was over when its printer was
 * emptied: job_late.h. */
bool job_end_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif
