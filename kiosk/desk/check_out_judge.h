#ifndef KIOSK_DESK_CHECK_OUT_JUDGE_H
#define KIOSK_DESK_CHECK_OUT_JUDGE_H

#include "kiosk/desk/turn.h"

/* All that speaks against a check-out of the counter's group: the things beside each other and what is in the printer
 * (kiosk/rules/check_out.h), who takes them, what the job needs (job_need.h), and what should go first (older_first.h;
 * only while nothing stops them). docs/check-out.md lists the reasons. */

/* `machine` "": not said yet. `ends_day`: when the job that begins is to end, as a script says it; MOVEMENT_NULL. Adds
 * to `list`. */
bool check_out_judge_group(struct turn *turn, const char *machine, int64_t ends_day, struct verdict_list *list,
                           struct fault *fault);

#endif
