#ifndef KIOSK_DESK_LABEL_LOST_H
#define KIOSK_DESK_LABEL_LOST_H

#include "kiosk/desk/turn.h"

/* "Label lost": a thing stands there without its label. Where it stands, what it is (its item's card, the maker's code
 * on it, or the label of another one of its kind) and then the labels of those beside it: each that is seen is left
 * out, until one is left (kiosk/rules/lost_label.h). YES gives that one a new label (relabel.h). With scans: the card
 * LABEL-LOST, the shelf or printer, the item, the neighbours, YES. */

bool label_lost_begin(struct turn *turn, struct fault *fault); /* the card LABEL-LOST */
/* Scanned meanwhile. */
bool label_lost_place(struct turn *turn, const char *code, bool printer, struct fault *fault);
bool label_lost_item(struct turn *turn, const char *item, const char *lot, struct fault *fault);
bool label_lost_seen(struct turn *turn, const struct unit *unit, struct fault *fault);
bool label_lost_show(struct turn *turn, struct fault *fault);
bool label_lost_confirm(struct turn *turn, struct fault *fault); /* YES in STEP_LABEL_LOST */

/* Was it found by elimination at this counter, so that nobody has to choose? */
bool label_lost_is_found(struct turn *turn, const char *serial, bool *sure, struct fault *fault);

/* Those that it may be, as in a view; NULL in any other step. */
bool label_lost_view(struct ledger *ledger, const struct counter *counter, struct day today, json_t **list,
                     struct fault *fault);

#endif
