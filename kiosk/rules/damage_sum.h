#ifndef KIOSK_RULES_DAMAGE_SUM_H
#define KIOSK_RULES_DAMAGE_SUM_H

#include <stddef.h>

#include "kiosk/rules/rule.h"

/* Hours under different resins, of which each wears a vat's film at its own rate, as one number: the sum of hours used
 * over hours rated, class by class; 1 is a life used up. Palmgren 1924; Miner, "Cumulative damage in fatigue", Journal
 * of Applied Mechanics 12, 1945, A159-A164. It takes damage to be the same in any order, which is a first guess. */

struct damage_hours {
    const char *class;
    double hours;
};

/* The rating of a class; NULL: there is none. */
const struct damage_hours *damage_rating(const struct damage_hours *ratings, size_t count, const char *class);

struct damage_sum_case {
    const struct damage_hours *ratings; /* hours > 0 until the life is used up; each class once */
    size_t rating_count;
    const struct damage_hours *used; /* hours >= 0; a class may come several times */
    size_t used_count;
    double limit; /* 0 < limit <= 1: where to retire */
};

struct damage_sum_answer {
    struct rule_said said;
    double damage;            /* RULE_NULL: a class is used that has no rating */
    const double *hours_left; /* of each rating, in order; NULL likewise */
    enum rule_truth retire;
};

bool damage_sum(const struct damage_sum_case *asked, struct arena *arena, struct damage_sum_answer *answer,
                struct rule_fault *fault);

#endif
