#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_CATALOGUE_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_CATALOGUE_H

#include "kiosk/desk/stock_list/stock_list_fold.h"
#include "kiosk/ledger/catalogue.h"

/* The room's items and places as a stock list is compared with them: read once, then looked up by whatever a
 * spreadsheet calls them. Two that answer to the same word are never chosen between. */

struct stock_list_item {
    struct item item;
    char name[STOCK_LIST_FOLDED], resin[STOCK_LIST_FOLDED]; /* folded */
};
struct stock_list_place {
    struct place place;
    char code[STOCK_LIST_FOLDED], name[STOCK_LIST_FOLDED];
};
struct stock_list_catalogue {
    struct stock_list_item *items;
    size_t item_count, item_size;
    struct stock_list_place *places;
    size_t place_count, place_size;
};

bool stock_list_catalogue_load(struct ledger *ledger, struct stock_list_catalogue *catalogue, struct fault *fault);
void stock_list_catalogue_clear(struct stock_list_catalogue *catalogue);

/* By code, GTIN (8 to 14 digits with a right check digit), maker's code, then name. NULL: none, or several. */
const struct item *stock_list_find_item(const struct stock_list_catalogue *catalogue, const char *text);
/* The same among cartridges and bottles, and by resin type last: what is in a vat. */
const struct item *stock_list_find_resin(const struct stock_list_catalogue *catalogue, const char *text);
/* By code, then by the code's words ("Regal 3" is REGAL-3), then by name. Slots of printers are found too. */
const struct place *stock_list_find_place(const struct stock_list_catalogue *catalogue, const char *text);

#endif
