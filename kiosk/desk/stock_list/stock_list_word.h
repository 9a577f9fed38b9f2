#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_WORD_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_WORD_H

#include <stdbool.h>

/* Words of a stock list for kinds of things and for a vat's film, in English, German, French, Spanish, Italian and
 * Dutch (common practice, no source). What is not in the tables is asked about. Pure; any thread. */

/* The letter of a kind: C, R, V, P or W; V stands for every vat. */
bool stock_list_kind_read(const char *text, char *letter);
/* "clear", "fogged", "dented", "bits", "leaking"; static. */
bool stock_list_film_read(const char *text, const char **film);

extern const char *const stock_list_films[];     /* ends with NULL */
extern const char *const stock_list_kinds[5][2]; /* letter, what it is */

#endif
