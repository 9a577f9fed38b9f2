#ifndef KIOSK_DESK_CARD_NUMBER_H
#define KIOSK_DESK_CARD_NUMBER_H

#include <stdbool.h>
#include <stdint.h>

/* Cards that say a number: 250ML, 12H. Pure. False: it is no such card, `*value` untouched. */

enum { CARD_ML_MAX = 1000000 };

bool card_number_read(const char *card, const char *ending, int64_t most, int64_t *value);
/* Millilitres, as microlitres. */
bool card_number_amount(const char *card, int64_t *amount_ul);

#endif
