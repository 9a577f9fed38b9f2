#ifndef KIOSK_WEB_STOCK_WORDS_H
#define KIOSK_WEB_STOCK_WORDS_H

#include "kiosk/ledger/stock.h"

/* Looking for stock by words, as a person types them: a line has them when each stands somewhere in its item's code,
 * name or resin type, its lot, or "out", "on hold", "label not proved". ASCII letters count the same in both cases. */

enum { STOCK_WORDS_LENGTH = 120, STOCK_WORDS_MOST = 8 };

struct stock_words;

/* Words with spaces between; none: every line has them. Reads the catalogue once. FAULT_INPUT: more than
 * STOCK_WORDS_MOST words or STOCK_WORDS_LENGTH bytes. */
bool stock_words_read(struct ledger *ledger, const char *typed, struct stock_words **words, struct fault *fault);
void stock_words_free(struct stock_words *words); /* accepts NULL */

/* Lines are asked for in order of item, as stock_each gives them. */
bool stock_words_match(struct stock_words *words, const struct stock_line *line);

#endif
