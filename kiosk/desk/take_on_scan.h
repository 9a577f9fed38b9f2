#ifndef KIOSK_DESK_TAKE_ON_SCAN_H
#define KIOSK_DESK_TAKE_ON_SCAN_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/catalogue.h"
#include "labels/content/scan.h"

/* Take-on with scans: the card TAKE-ON and the shelf, or the shelf and an item's card; then for each thing its item's
 * card or the maker's code on it, cards for what is known of it (250ML, 12H, a film card, UNKNOWN), YES; its label is
 * stuck on and scanned, and the next one's card goes on at the same shelf. Resin in a vat: the vat's card, then the
 * resin's card or maker's code. What nobody said stays unknown; hours must be said, if only that nobody knows them. */

bool take_on_begin(struct turn *turn, struct fault *fault); /* the card TAKE-ON */
/* Scanned meanwhile. */
bool take_on_place(struct turn *turn, const struct place *place, struct fault *fault);
/* `label`: of the maker's code, NULL when it was a card. */
bool take_on_item(struct turn *turn, const struct item *item, const struct supplier_label *label, struct fault *fault);
bool take_on_unit(struct turn *turn, const struct unit *unit, struct fault *fault);
bool take_on_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);
bool take_on_show(struct turn *turn, struct fault *fault);
bool take_on_confirm(struct turn *turn, struct fault *fault); /* YES in STEP_TAKE_ON */

/* Is all said that must be? Then YES means something. `item` is that of the counter. */
bool take_on_is_ready(const struct counter *counter);
bool take_on_has_hours(const struct counter *counter);
bool take_on_has_film(const struct counter *counter);
bool take_on_has_amount(const struct counter *counter);

#endif
