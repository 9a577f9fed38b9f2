#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_FOLD_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_FOLD_H

#include <stdbool.h>
#include <stddef.h>

/* Words as people compare them: without case, accents and marks between. By Unicode: NFKD (annex 15), combining marks
 * dropped, full case folding (CaseFolding.txt); done by GLib. Pure; any thread. */

enum { STOCK_LIST_FOLDED = 256 };

/* Letters and digits alone: "Ablauf-Datum", "ABLAUFDATUM" and "Ablauf datum" are one heading. What does not fit is cut.
 * Returns `folded`. */
const char *stock_list_fold_heading(const char *text, char folded[STOCK_LIST_FOLDED]);
/* The same with one space for whatever stood between: "A-11" and "A1-1" stay two places. */
const char *stock_list_fold_value(const char *text, char folded[STOCK_LIST_FOLDED]);

#endif
