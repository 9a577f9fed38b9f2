#ifndef KIOSK_DESK_KEPT_TAKEN_H
#define KIOSK_DESK_KEPT_TAKEN_H

#include "kiosk/desk/turn.h"
#include "kiosk/rules/kept.h"

/* What happens to what is kept for somebody (keep.h) when a thing is taken: it is withheld from everybody else, and it
 * is kept no more once it went out to the one it was kept for. */

/* Adds REASON_RESERVED for the things of the group that are kept for somebody else. `machine`: printer they go to; ""
 * not said yet. */
bool kept_taken_judge_group(struct turn *turn, const char *machine, struct verdict_list *list, struct fault *fault);
/* The same of one thing; `job`: code of the job it goes to, "" none. */
bool kept_taken_judge(struct turn *turn, const char *serial, const char *job, struct verdict_list *list,
                      struct fault *fault);
/* What the rule asks of who takes it; `job` is borrowed. And the code of the job on a printer, "" when none runs there
 * or `machine` is "". */
struct kept_asking kept_taken_asking(const struct turn *turn, const char *job, bool job_known);
bool kept_taken_job(struct ledger *ledger, const char *machine, char code[JOB_CODE_SIZE], struct fault *fault);
/* The group has gone out. What was taken by somebody else all the same stays kept, from its return on. */
bool kept_taken_end_group(struct turn *turn, const char *machine, struct fault *fault);
/* The same of one thing that went to no job. */
bool kept_taken_end(struct turn *turn, const char *serial, struct fault *fault);

#endif
