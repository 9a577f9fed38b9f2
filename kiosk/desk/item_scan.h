#ifndef KIOSK_DESK_ITEM_SCAN_H
#define KIOSK_DESK_ITEM_SCAN_H

#include "kiosk/desk/scan_parts.h"

/* What a thing without our label is, said by a scan: its item's card, its item's code typed, or the maker's code that
 * stays on it for life, which says the lot besides. */

/* Does the counter ask what a thing without a label is? Then a maker's code is no receipt. */
bool item_scan_wants(const struct counter *counter);

bool item_scan_card(struct turn *turn, const char *item, struct fault *fault);
/* Typed, where one is asked for; `*found` false: no item has this code, or none is asked for. */
bool item_scan_typed(struct turn *turn, const char *code, bool *found, struct fault *fault);
/* Makers' codes of one thing, 1 to CARTON_CODES. */
bool item_scan_supplier(struct turn *turn, const struct supplier_code *codes, size_t count, struct fault *fault);

#endif
