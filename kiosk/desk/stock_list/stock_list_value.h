#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_VALUE_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_VALUE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"

/* Cells of a stock list -> values. What can be read in two ways is never guessed: the call says `asks`, and the caller
 * comes back with the order or sign that a person chose. Whole numbers only; nothing is floating point. Cells are UTF-8
 * without blanks around them. Pure; any thread. */

/* A cell in a sentence: cut at a character's end, its own lines and tabs as blanks. Returns `buffer`. */
enum { STOCK_LIST_SHOW_SIZE = 64 };
const char *stock_list_show(const char *cell, char buffer[STOCK_LIST_SHOW_SIZE]);
#define STOCK_LIST_SHOW(cell)                                                                                          \
    stock_list_show((cell), (char[STOCK_LIST_SHOW_SIZE]){0}) /* lives as long as its block                             \
                                                              */

/* Nothing, "?", "-", "n/a", "unknown" and the like in six languages: not known, never 0. Common practice, no source. */
bool stock_list_is_unknown(const char *cell);

/* ---- dates ---- */

enum stock_list_order { STOCK_LIST_ORDER_ASK, STOCK_LIST_YMD, STOCK_LIST_DMY, STOCK_LIST_MDY, STOCK_LIST_ORDERS };
const char *stock_list_order_word(enum stock_list_order order); /* "", "ymd", … */
bool stock_list_order_read(const char *word, enum stock_list_order *order);

struct stock_list_date {
    bool asks; /* the order is needed and was STOCK_LIST_ORDER_ASK: nothing else is set */
    struct day day;
    bool month_only; /* the day was not said: the month's last day (as GS1 reads day 00 of its own dates) */
    bool two_digits; /* the century is ours: 49 years back to 50 ahead, as labels have it (gs1_date.h) */
    bool by_order;   /* the order decided; false: exact by itself */
};
/* Exact: a year of four digits first (ISO 8601 and its relatives), and a month with a year of four digits. Three
 * numbers with the year last, or of two digits: by `order`. Refused, each with its sentence: a day that does not exist,
 * a spreadsheet's day number, names of months, "03/27", more than 30 years from `this_year`. */
bool stock_list_date_read(const char *cell, enum stock_list_order order, int this_year, struct stock_list_date *date,
                          struct fault *fault);

/* ---- numbers ---- */

enum stock_list_sign { STOCK_LIST_SIGN_ASK, STOCK_LIST_COMMA, STOCK_LIST_POINT, STOCK_LIST_SIGNS };
const char *stock_list_sign_word(enum stock_list_sign sign); /* "", "comma", "point" */
bool stock_list_sign_read(const char *word, enum stock_list_sign *sign);

enum stock_list_volume { STOCK_LIST_VOLUME_NONE, STOCK_LIST_ML, STOCK_LIST_CL, STOCK_LIST_DL, STOCK_LIST_L };
/* A unit of volume as headings and cells have it; false when it is none. */
bool stock_list_volume_read(const char *word, enum stock_list_volume *unit);
/* A unit of mass: what is in grams has no place here, since items have no density. */
bool stock_list_is_mass(const char *word);

struct stock_list_amount {
    bool asks_sign; /* "1.234" may be one or a thousand: nothing else is set */
    bool asks_unit; /* a bare number, and `unit` was NONE */
    int64_t microlitres;
};
bool stock_list_amount_read(const char *cell, enum stock_list_sign sign, enum stock_list_volume unit,
                            struct stock_list_amount *amount, struct fault *fault);

struct stock_list_hours {
    bool asks_sign;
    int64_t minutes; /* whole; of decimal hours the nearest */
};
/* Decimal hours, "h:mm" or "h:mm:00". */
bool stock_list_hours_read(const char *cell, enum stock_list_sign sign, struct stock_list_hours *hours,
                           struct fault *fault);

/* Whole pieces, 0 to `most`. */
bool stock_list_pieces_read(const char *cell, int64_t most, int64_t *pieces, struct fault *fault);

/* "1,23E+11": a spreadsheet has thrown digits of a long number away. */
bool stock_list_is_shortened(const char *cell);

#endif
