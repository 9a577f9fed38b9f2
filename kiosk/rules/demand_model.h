#ifndef KIOSK_RULES_DEMAND_MODEL_H
#define KIOSK_RULES_DEMAND_MODEL_H

#include <stdbool.h>

#include "kiosk/rules/arena.h"
#include "kiosk/rules/pmf.h"
#include "kiosk/rules/rule.h"

/* Demand of one period, of which any number is taken: over k periods the mean is k times as large, and so is the
 * variance; periods are independent. */

enum demand_kind { DEMAND_NONE, DEMAND_POISSON, DEMAND_NEGATIVE_BINOMIAL, DEMAND_PMF, DEMAND_NORMAL };

struct demand_model {
    enum demand_kind kind;
    double mean, variance; /* the first three, and DEMAND_NORMAL */
    struct pmf pmf;        /* DEMAND_PMF */
};

double demand_mean(const struct demand_model *model); /* a period */

/* Of `periods` periods (not negative; a DEMAND_PMF wants a whole number, else RULE_CONFLICT for `key`) and with a
 * further variance of `extra` on the sum. A negative binomial that spreads no more than its mean is a Poisson. Not for
 * DEMAND_NORMAL and DEMAND_NONE. `extra` other than 0 is for the negative binomial. */
bool demand_over(const struct demand_model *model, double periods, double extra, const char *key, struct arena *arena,
                 struct pmf *pmf, struct rule_fault *fault);

#endif
