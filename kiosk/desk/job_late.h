#ifndef KIOSK_DESK_JOB_LATE_H
#define KIOSK_DESK_JOB_LATE_H

#include "kiosk/desk/job_end.h"

/* How a job ended, told after its printer was emptied. The check-in ended it then without a word: `outcome` is "" until
 * somebody says. What vats and cartridges hold by the books stays as it is, for whoever brought them back may have said
 * it, and they may have been used since: outcome and use are kept with the job, and when nobody has said since what is
 * in them, that is a question to the storekeeper. */

/* The last job of this machine, if all that ended it was that its printer was emptied; by what the shop calls it, on
 * any machine when `machine` is "". */
bool job_late_find(struct turn *turn, const char *machine, struct job *job, bool *found, struct fault *fault);
bool job_late_find_code(struct turn *turn, const char *code, const char *machine, struct job *job, bool *found,
                        struct fault *fault);
/* Did it end so? */
bool job_late_may_be_told(struct turn *turn, const struct job *job, bool *may, struct fault *fault);

/* Books it. After one that failed or was aborted, vats and platforms that came out of the printer are on hold until
 * somebody has looked, wherever they are now, but for those that somebody has looked at since. `used_ul` MOVEMENT_NULL:
 * nobody knows. */
bool job_late_book(struct turn *turn, const struct job *job, const char *how, int64_t used_ul, struct job_held *held,
                   struct fault *fault);

/* UNDO of it: the job has ended without a word again. */
bool job_late_is_told(const struct movement *end);
bool job_late_take_back(struct turn *turn, const struct movement *end, struct fault *fault);

#endif
