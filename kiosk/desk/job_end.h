#ifndef KIOSK_DESK_JOB_END_H
#define KIOSK_DESK_JOB_END_H

#include "kiosk/desk/turn.h"

/* A job that a check-out opened is over when nothing that went out for it is in the printer any more. */

bool job_is_empty(struct turn *turn, const struct job *job, bool *empty, struct fault *fault);
/* Ends it when it runs and is empty. `id` "" or of no job: nothing happens. */
bool job_end_when_empty(struct turn *turn, const char *id, struct fault *fault);

#endif
