#ifndef KIOSK_RULES_MATCH_QUANTITIES_H
#define KIOSK_RULES_MATCH_QUANTITIES_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/rule.h"
#include "labels/basics/calendar.h"

/* Things that are counted by number: what the ledger expects of an item, of a lot, in a place, against what was found,
 * at the instant it was found, so that what is issued while the count goes on is no difference. What is short in one
 * place is then paired with what is over in another: it was moved, or booked under another lot. Common practice of a
 * stocktake, no source. Nothing is adjusted: what comes out are proposals. */

struct stock_key {
    const char *item, *lot /* "" none */, *place;
};

struct counted_quantity {
    struct stock_key key;
    int64_t quantity;
    bool has_at; /* of what was found: at that instant; else after all movements */
    struct instant at;
};

struct match_quantities_case {
    const struct counted_quantity *expected, *found; /* keys unique in each */
    size_t expected_count, found_count;
    const struct stock_movement {
        struct stock_key key;
        int64_t change;
        struct instant at;
    } * movements; /* since `expected` was true, in any order */
    size_t movement_count;
};

struct match_quantities_answer {
    int64_t lines, exact; /* keys in all, and those without a difference */
    int64_t net, gross;   /* sums of the differences, before they are paired */
    const struct stock_move {
        int stage;                 /* 1: one item and lot, 2: one item and place, 3: one item */
        struct stock_key from, to; /* from where it is short to where it is over */
        int64_t quantity;
    } * moves; /* by stage, then by both keys */
    size_t move_count;
    const struct stock_difference {
        struct stock_key key;
        int64_t difference; /* found less expected, not 0 */
    } * unexplained;        /* by key */
    size_t unexplained_count;
};

/* Faults: RULE_DUPLICATE for a key twice in expected or found, RULE_RANGE for sums that leave 64 bits and when there is
 * no memory. Time grows like n log n with all that is handed in. */
bool match_quantities(const struct match_quantities_case *asked, struct arena *arena,
                      struct match_quantities_answer *answer, struct rule_fault *fault);

#endif
