#include "kiosk/desk/card_number.h"

#include <string.h>

#include "labels/basics/text.h"

enum { UL_A_ML = 1000 };

bool card_number_read(const char *card, const char *ending, int64_t most, int64_t *value)
{
    const size_t length = strlen(card), tail = strlen(ending);
    int64_t read;
    if (length <= tail || strcmp(card + length - tail, ending) != 0 ||
        !span_read_count((struct span){card, length - tail}, &read) || read > most)
        return false;
    *value = read;
    return true;
}

bool card_number_amount(const char *card, int64_t *amount_ul)
{
    int64_t ml;
    if (!card_number_read(card, "ML", CARD_ML_MAX, &ml))
        return false;
    *amount_ul = ml * UL_A_ML;
    return true;
}
