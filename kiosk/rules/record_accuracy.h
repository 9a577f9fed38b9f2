#ifndef KIOSK_RULES_RECORD_ACCURACY_H
#define KIOSK_RULES_RECORD_ACCURACY_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/rule.h"

/* How many records of a count were right, and what that says of those that were not counted. Overs and unders are never
 * set against each other in the accuracy, only in the net; what a tolerance is worth is common practice, no source.
 * Limits: Clopper and Pearson 1934, exact; of a list with a known number of records by the hypergeometric. What two
 * people counted independently: Chapman 1951, from memory. All of it takes for granted that what was counted was drawn
 * by lot. */

struct counted_record {
    const char *id;
    double expected, found;
    double tolerance;       /* in the unit of both, >= 0 */
    double tolerance_share; /* of what is expected, >= 0; the larger of the two counts */
    double unit_value;      /* >= 0 */
};

struct record_accuracy_case {
    bool has_records;
    const struct counted_record *records; /* has_records */
    size_t record_count;
    int64_t counted, wrong; /* else: 0 <= wrong <= counted <= SAMPLING_MOST */
    double confidence;      /* inside 0 to 1 */
    int64_t population;     /* records in all; RULE_NO_COUNT: not said */
    bool has_two_counts;
    int64_t first, second, both; /* things that the one, the other, both found; 0 <= both <= each */
};

struct record_accuracy_answer {
    struct rule_said said;
    int64_t counted, accurate;
    double accuracy;                           /* RULE_NULL: nothing was counted, as for the three limits */
    double net, gross, net_value, gross_value; /* RULE_NULL without records */
    double lower, upper;                       /* both-sided */
    double lower_one_sided;
    int64_t most_wrong; /* of all records; RULE_NO_COUNT, and then RULE_NULL: no population, or nothing counted */
    double accuracy_at_least;
    double estimated_total, estimated_total_se; /* RULE_NULL without two counts */
};

/* Faults, with the keys of the case in JSON: RULE_CONFLICT (wrong of more than counted, both of more than one), and
 * RULE_RANGE (a population below what was counted, sums too large for a number). */
bool record_accuracy(const struct record_accuracy_case *asked, struct arena *arena,
                     struct record_accuracy_answer *answer, struct rule_fault *fault);

#endif
