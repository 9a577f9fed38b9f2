#ifndef KIOSK_RULES_MATCH_COUNT_H
#define KIOSK_RULES_MATCH_COUNT_H

#include "kiosk/rules/match_quantities.h"
#include "kiosk/rules/match_units.h"

/* A stocktake against the ledger: labelled units one by one, and what is counted by number. Either may be empty. */

struct match_count_case {
    struct match_units_case units;
    struct match_quantities_case quantities;
};

struct match_count_answer {
    struct rule_said said;
    struct match_units_answer units;
    struct match_quantities_answer quantities;
};

/* Faults as of the two. */
bool match_count(const struct match_count_case *asked, struct arena *arena, struct match_count_answer *answer,
                 struct rule_fault *fault);

/* "duplicate", "ghost", "unknown", "missing", "not-counted", "ok", "misplaced". */
const char *unit_result_word(enum unit_result result);

#endif
