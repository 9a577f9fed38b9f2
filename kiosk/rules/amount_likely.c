#include "kiosk/rules/amount_likely.h"

enum { UL_A_ML = 1000, THOUSAND = 1000 };

static double ml(int64_t ul)
{
    return (double)ul / UL_A_ML;
}

int64_t amount_likely_meant(int64_t there_ul, int64_t amount_ul)
{
    if (there_ul == AMOUNT_UNKNOWN || there_ul <= 0 || amount_ul == AMOUNT_UNKNOWN || amount_ul <= 0)
        return AMOUNT_UNKNOWN;
    if (amount_ul / 10 >= there_ul && amount_ul / THOUSAND > 0 && amount_ul / THOUSAND <= there_ul)
        return amount_ul / THOUSAND;
    if (amount_ul <= there_ul / THOUSAND)
        return amount_ul * THOUSAND;
    return AMOUNT_UNKNOWN;
}

void amount_said_judge(const struct amount_said_case *asked, struct verdict_list *list)
{
    const bool full = asked->full_ul >= asked->books_ul; /* AMOUNT_UNKNOWN is below all */
    const int64_t there = full ? asked->full_ul : asked->books_ul;
    const int64_t meant = amount_likely_meant(there, asked->amount_ul);
    if (meant != AMOUNT_UNKNOWN)
        verdict_add(list, REASON_AMOUNT_UNLIKELY, asked->serial,
                    full ? "%g ml in %s, which holds %g ml when full: was %g ml meant?"
                         : "%g ml in %s, where %g ml were by the books: was %g ml meant?",
                    ml(asked->amount_ul), asked->serial, ml(there), ml(meant));
}
