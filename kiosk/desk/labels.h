#ifndef KIOSK_DESK_LABELS_H
#define KIOSK_DESK_LABELS_H

#include "kiosk/desk/turn.h"

/* Labels of units, badges and places: ordered here, printed by the printing thread, proved by a scan back. A thing of
 * a delivery with several lots is proved by the maker's code first, then our label, so that labels cannot be
 * swapped. */

/* Orders the first or next label of a unit or a badge. */
bool labels_order(struct turn *turn, const char *serial, struct fault *fault);
/* A place's; or a job's ticket by its name (print_ticket_name). FAULT_REFUSED: that job is over. */
bool labels_order_place(struct turn *turn, const char *place, struct fault *fault);

/* The newest label of a unit, a badge or (serial "") a place. */
bool labels_newest(struct turn *turn, const char *serial, const char *place, struct print *newest, bool *found,
                   struct fault *fault);
/* Settles the open question whether a label of this unit came out, if there is one; `how` is a keyword. */
bool labels_settle(struct turn *turn, const char *serial, const char *how, struct fault *fault);

/* Labels of other lots, or other items, than this one wait for their proof in the delivery: they could be swapped. */
bool labels_may_be_swapped(struct turn *turn, const char *delivery, const char *item, const char *lot, bool *may,
                           struct fault *fault);

/* Our label of a unit whose label was not proved yet has been scanned. */
bool labels_prove(struct turn *turn, const struct unit *unit, struct fault *fault);
/* The same in the middle of something else: nothing is said, and no several lots can be swapped. */
bool labels_prove_first(struct turn *turn, const struct unit *unit, bool *proved, struct fault *fault);
/* A badge's, a place's or a unit's newest label has been scanned: proved when it was printed and not proved yet. */
bool labels_prove_other(struct turn *turn, const char *person, const char *place, struct fault *fault);

bool prove_act(struct act_context *context, json_t **answer, struct fault *fault);      /* act "prove" */
bool print_mark_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "print-mark" */

#endif
