#ifndef KIOSK_RULES_SAMPLE_SIZE_H
#define KIOSK_RULES_SAMPLE_SIZE_H

#include <stdint.h>

#include "kiosk/rules/rule.h"

/* How many records to count, drawn by lot, so that few enough wrong ones among them mean, with some confidence, that
 * the whole list is as accurate as it should be: the smallest number under which a list that is just not good enough
 * would pass no oftener than the confidence allows. Acceptance sampling by the hypergeometric distribution, of an
 * endless list by the binomial one. */

struct sample_size_case {
    int64_t population;    /* records in all, 1 to SAMPLING_MOST; RULE_NO_COUNT: endless */
    double accuracy;       /* wanted, inside 0 to 1 */
    double confidence;     /* inside 0 to 1 */
    int64_t wrong_allowed; /* in the sample, 0 to SAMPLING_MOST */
};

struct sample_size_answer {
    struct rule_said said;
    bool possible;
    int64_t sample;         /* RULE_NO_COUNT: not even all would do, and then `risk` is RULE_NULL */
    int64_t wrong_breaking; /* fewest wrong ones in all that are too many; RULE_NO_COUNT: endless */
    double risk;            /* that a list just not good enough passes */
};

/* Fault: RULE_RANGE when more than SAMPLING_MOST_DRAWS records of an endless list would have to be counted. */
bool sample_size(const struct sample_size_case *asked, struct arena *arena, struct sample_size_answer *answer,
                 struct rule_fault *fault);

#endif
