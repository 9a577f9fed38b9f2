#ifndef KIOSK_RULES_SPARES_H
#define KIOSK_RULES_SPARES_H

#include <stddef.h>

#include "kiosk/rules/pmf.h"
#include "kiosk/rules/rule.h"
#include "kiosk/rules/weibull.h"

/* How many spare vats cover what will wear out within a time: each vat fails or does not, with its own chance and
 * independently, so their number is Poisson-binomial distributed, here without approximation. */

enum { SPARES_VATS = 20000 /* most at once */ };

struct spares_case {
    size_t vat_count;
    const double *probabilities; /* of each, 0 to 1, to wear out within the time; NULL: … */
    const double *hours;         /* … by the hours each has run, >= 0, with … */
    double horizon_hours;        /* … so many more ahead, > 0 */
    struct weibull life;
    double target; /* 0 < target < 1: chance to have enough */
};

struct spares_answer {
    struct rule_said said;
    const double *probabilities;
    double mean;
    struct pmf pmf; /* all cells, 0 to vat_count */
    size_t spares;  /* smallest number that is enough with the chance asked for */
};

bool spares(const struct spares_case *asked, struct arena *arena, struct spares_answer *answer,
            struct rule_fault *fault);

#endif
