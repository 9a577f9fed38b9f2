#ifndef KIOSK_DESK_OVERRULE_H
#define KIOSK_DESK_OVERRULE_H

#include "kiosk/desk/turn.h"

/* A storekeeper lets a stop go, this once, with the PIN: those reasons that the table (kiosk/rules/verdict.c) gives to
 * a storekeeper. The act is booked as the one who does it does it; beside it stands the storekeeper's approval, and in
 * the detail of its movements `overruled`, the codes parted by one space, and `approver`, the badge. No question is
 * opened: who would be asked has decided, and answered with it what the verdict asks besides. What made the stop stays
 * as it is (a hold is not released), so that the next one is stopped again. */

/* The key OVERRULE. `list` is the verdict as it is now. True in `*go`: approved, book it. Else the counter says what is
 * missing; `what_for` as in turn_has_person. FAULT_APPROVAL: only the PIN is. Before anything else is booked. */
bool overrule_at_counter(struct turn *turn, const struct verdict_list *list, const char *what_for, bool *go,
                         struct fault *fault);

/* `overrule: true` of an act. `list` is a stop. FAULT_REFUSED with the first reason that nobody overrules;
 * FAULT_APPROVAL without a PIN. Before anything else is booked. */
bool overrule_in_act(struct turn *turn, const struct verdict_list *list, struct fault *fault);

/* Adds to the movement's detail which of the overruled reasons are about it: not those about another thing of the
 * counter's group. Nothing when `list` is NULL: nothing was overruled. */
bool overrule_note(const struct turn *turn, const struct verdict_list *list, struct movement *movement,
                   struct fault *fault);

/* What the act did, and which reasons were overruled; nothing more when `list` is NULL. */
void overrule_say(struct counter *counter, const struct verdict_list *list, const char *did);

#endif
