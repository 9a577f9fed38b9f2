#ifndef KIOSK_DESK_JOB_START_H
#define KIOSK_DESK_JOB_START_H

#include "kiosk/desk/turn.h"

/* A printer has begun to print: by its own word, a slicer's, or somebody's. A job that a check-out opened unnamed there
 * is taken over and keeps its id; else the job is a new one, and what stands in the printer may give it resin. A second
 * job while one with a ticket runs is a conflict: its end was not told. */

bool job_start_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "job-start" */

#endif
