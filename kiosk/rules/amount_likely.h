#ifndef KIOSK_RULES_AMOUNT_LIKELY_H
#define KIOSK_RULES_AMOUNT_LIKELY_H

#include <stdint.h>

#include "kiosk/rules/verdict.h"

/* Is an amount that somebody says off by a thousand? Whoever says litres where millilitres are meant, or microlitres,
 * says a number a thousandth or a thousandfold of what can be. It is asked about with what was likely meant; common
 * practice, no source. Pure. */

#define AMOUNT_UNKNOWN INT64_MIN

/* What was meant by `amount_ul` where `there_ul` is there: of ten times as much and more, a thousandth that fits; of a
 * thousandth and less, the thousandfold. AMOUNT_UNKNOWN: nothing speaks for a slip. */
int64_t amount_likely_meant(int64_t there_ul, int64_t amount_ul);

struct amount_said_case {
    const char *serial;
    int64_t amount_ul; /* so much is in it, as it was said; AMOUNT_UNKNOWN */
    int64_t full_ul;   /* what it holds when full; AMOUNT_UNKNOWN */
    int64_t books_ul;  /* what was in it by the books; AMOUNT_UNKNOWN */
};

/* Adds a reason when it is likely a slip. Less than before is no wonder; so it is compared with the larger of the two
 * that are known. */
void amount_said_judge(const struct amount_said_case *asked, struct verdict_list *list);

#endif
