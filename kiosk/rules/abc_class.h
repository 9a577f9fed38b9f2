#ifndef KIOSK_RULES_ABC_CLASS_H
#define KIOSK_RULES_ABC_CLASS_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/rule.h"

/* Which items to count how often: sorted by what is used of them in a year, in money, the first that make up most of
 * it are class A, the next B, the rest C. An item belongs to the class in which its part of the total begins. One whose
 * lack stops a printer is A whatever it costs. The cuts (80 and 95 %) and the counts a year are common practice, no
 * source. */

enum abc_letter { ABC_A, ABC_B, ABC_C, ABC_LETTERS };

struct abc_item {
    const char *id;
    double annual_use, unit_cost; /* >= 0 */
    bool critical;
};

struct abc_class_case {
    const struct abc_item *items; /* ids unique */
    size_t item_count;
    double cut_a, cut_b;                 /* 0 < cut_a <= cut_b <= 1 */
    double counts_per_year[ABC_LETTERS]; /* of an item of the class, >= 0 */
    double working_days;                 /* a year, > 0 */
};

struct abc_class_answer {
    struct rule_said said;
    const struct abc_place {
        const char *id;
        double value;             /* used a year */
        double share, cumulative; /* of the total; cumulative with the item itself. RULE_NULL: the total is 0 */
        enum abc_letter letter;   /* ABC_LETTERS likewise */
    } * items;                    /* by value descending, then id; as many as were asked about */
    double total;
    int64_t in_class[ABC_LETTERS];
    double counts_per_year, counts_per_day; /* RULE_NULL: the total is 0 */
};

/* Fault: RULE_RANGE for cuts in the wrong order or values too large to be summed. */
bool abc_class(const struct abc_class_case *asked, struct arena *arena, struct abc_class_answer *answer,
               struct rule_fault *fault);

#endif
