#ifndef KIOSK_DESK_POUR_H
#define KIOSK_DESK_POUR_H

#include "kiosk/desk/turn.h"

/* Resin from one container into another by hand: fill, top-up, decant, transfer, recover. With scans alone: badge, what
 * it comes out of, what it goes into, the card POUR, and how much by a card: 250ML, ALL, or UNKNOWN. STEP_POUR:
 * units[0] is the source with what was said of the amount, units[1] the target. */

/* The card POUR: what was scanned last goes, or the first into the second. */
bool pour_begin(struct turn *turn, struct fault *fault);
/* A unit scanned meanwhile. */
bool pour_add(struct turn *turn, const char *serial, struct fault *fault);
/* An amount's card; `*mine` false: it is none, or nothing is poured. */
bool pour_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);
/* Somebody has come: what waited for that goes on. */
bool pour_show(struct turn *turn, struct fault *fault);
/* YES; and TAKEN: it was poured already, whatever speaks against it. */
bool pour_confirm(struct turn *turn, struct fault *fault);
bool pour_done_already(struct turn *turn, struct fault *fault);
/* The key OVERRULE: a storekeeper lets what is stopped go, with the PIN. */
bool pour_overrule(struct turn *turn, struct fault *fault);

/* All that is in one into another, for an act that has more to do with both: adds what speaks against it (`list` is
 * cleared first); and books it. */
bool pour_all_judge(struct turn *turn, const char *from, const char *to, struct verdict_list *list,
                    struct fault *fault);
bool pour_all_book(struct turn *turn, const char *from, const char *to, struct fault *fault);

bool pour_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "pour" */

#endif
