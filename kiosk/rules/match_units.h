#ifndef KIOSK_RULES_MATCH_UNITS_H
#define KIOSK_RULES_MATCH_UNITS_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/rule.h"

/* Labelled units, one by one: what the ledger expects where, against what was scanned where. Common practice of a
 * stocktake, no source. A place that is not finished says nothing of what was not scanned there. */

enum unit_result {                 /* the first that fits */
                   UNIT_DUPLICATE, /* scanned in two places: two labels of one unit, or moved while the count went on */
                   UNIT_GHOST,     /* disposed of, and there all the same */
                   UNIT_UNKNOWN,   /* nobody expected it anywhere */
                   UNIT_MISSING,   /* not scanned, its place is finished */
                   UNIT_NOT_COUNTED, /* not scanned, its place is not finished */
                   UNIT_OK,
                   UNIT_MISPLACED,
                   UNIT_RESULTS
};

struct unit_place {
    const char *id, *place;
};

struct match_units_case {
    const struct unit_place *expected; /* ids unique */
    size_t expected_count;
    const char *const *disposed; /* ids unique, none of them expected */
    size_t disposed_count;
    const struct unit_place *scans; /* in any order, ids may repeat */
    size_t scan_count;
    bool all_finished;
    const char *const *finished; /* else: places that are counted to the end */
    size_t finished_count;
};

enum { MATCH_HINTS = 100000 }; /* most pairs that are named */

struct match_units_answer {
    const struct matched_unit {
        const char *id, *expected_place; /* NULL: not expected */
        const char *const *found_places; /* each once, ascending */
        size_t found_count;
        enum unit_result result;
    } * units; /* by id; what was disposed of and not seen is not among them */
    size_t unit_count;
    int64_t results[UNIT_RESULTS]; /* how many units of each */
    const struct unit_hint {
        const char *missing, *found, *place; /* found in the place of the missing one: perhaps swapped */
    } * hints; /* by missing, then found. NULL: more than MATCH_HINTS, which says no more than the places do */
    size_t hint_count;
};

/* Faults: RULE_DUPLICATE for an id twice in expected or in disposed, RULE_CONFLICT for one in both, RULE_RANGE when
 * there is no memory. Time grows like n log n with all that is handed in. */
bool match_units(const struct match_units_case *asked, struct arena *arena, struct match_units_answer *answer,
                 struct rule_fault *fault);

#endif
