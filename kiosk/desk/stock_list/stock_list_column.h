#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_COLUMN_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_COLUMN_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/desk/stock_list/stock_list_rows.h"
#include "kiosk/desk/stock_list/stock_list_value.h"

/* Which column of a stock list is what: headings as print rooms write them, in English, German, French, Spanish,
 * Italian and Dutch (common practice, no source). What a heading may mean is a table; two columns with headings of the
 * same meaning are never chosen between. Pure; any thread. */

/* field, its word, what a person calls it */
#define STOCK_LIST_FIELDS(X)                                                                                           \
    X(ITEM, "item", "what it is")                                                                                      \
    X(NAME, "name", "the item's name")                                                                                 \
    X(MAKER_CODE, "maker-code", "the maker's item number")                                                             \
    X(GTIN, "gtin", "the number under the maker's bar code (GTIN)")                                                    \
    X(KIND, "kind", "the kind of thing")                                                                               \
    X(RESIN, "resin", "the resin in a vat")                                                                            \
    X(LOT, "lot", "the lot")                                                                                           \
    X(EXPIRES, "expires", "the use-by date")                                                                           \
    X(FILLED, "filled", "the day it was filled")                                                                       \
    X(RECEIVED, "received", "the day it came")                                                                         \
    X(OPENED, "opened", "the day it was opened")                                                                       \
    X(AMOUNT, "amount", "the content")                                                                                 \
    X(HOURS, "hours", "the hours of light so far")                                                                     \
    X(QUANTITY, "quantity", "how many pieces")                                                                         \
    X(PLACE, "place", "where it stands")                                                                               \
    X(PRINTER, "printer", "the printer it is in")                                                                      \
    X(FILM, "film", "the film of a vat")                                                                               \
    X(REFERENCE, "reference", "the shop's own number")                                                                 \
    X(NOTE, "note", "a note")

enum stock_list_field {
#define X(name, word, says) STOCK_LIST_##name,
    STOCK_LIST_FIELDS(X)
#undef X
        STOCK_LIST_FIELD_COUNT,
    STOCK_LIST_UNUSED = STOCK_LIST_FIELD_COUNT
};
const char *stock_list_field_word(enum stock_list_field field);
const char *stock_list_field_says(enum stock_list_field field);
bool stock_list_field_read(const char *word, enum stock_list_field *field);

/* What one heading means: UNUSED when the table has nothing like it. Of the content `*unit` is what the heading says in
 * brackets or at its end ("Inhalt (ml)"), NONE when it does not; `*mass` when that is a unit of mass. */
enum stock_list_field stock_list_heading_read(const char *heading, enum stock_list_volume *unit, bool *mass);

/* How many of the row's cells are headings of the table. */
int stock_list_heading_score(const struct stock_list_rows *rows, size_t row);
/* The row of headings: of the first ten the one with most of the table's headings, the earlier of two; the first when
 * none has any. */
size_t stock_list_heading_row(const struct stock_list_rows *rows);

#endif
