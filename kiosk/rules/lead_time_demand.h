#ifndef KIOSK_RULES_LEAD_TIME_DEMAND_H
#define KIOSK_RULES_LEAD_TIME_DEMAND_H

#include <stddef.h>

#include "kiosk/rules/demand_history.h"
#include "kiosk/rules/pmf.h"

/* How much will be taken until a delivery that is ordered now has come: not one number, but how likely each is.
 *
 * Negative binomial by moments: mean L m, variance L v + m^2 times that of the lead time; Poisson where that is no more
 * than the mean. Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, 4th ed. 2017 (from
 * memory). Bootstraps: demand_bootstrap.h. Gamma-Poisson, for a new item: with s taken in N periods and a
 * prior of a in b, L periods are negative binomial with r = a + s, p = (b + N) / (b + N + L). */

enum lead_time_method {
    LEAD_TIME_NEGATIVE_BINOMIAL,
    LEAD_TIME_POISSON,
    LEAD_TIME_MARKOV_BOOTSTRAP,
    LEAD_TIME_IID_BOOTSTRAP,
    LEAD_TIME_GAMMA_POISSON,
    LEAD_TIME_METHODS
};
extern const char *const lead_time_method_words[LEAD_TIME_METHODS + 1]; /* ended with NULL */

struct lead_time_demand_case {
    enum lead_time_method method;
    struct demand_series series;                 /* or, for the first two methods and when `from_moments`: */
    double mean_per_period, variance_per_period; /* >= 0; of Poisson the mean alone */
    bool from_moments;
    double lead_periods;  /* > 0; whole for the bootstraps, as are the demands */
    double lead_variance; /* >= 0, periods^2; other than 0 for the negative binomial only */
    const double *quantiles;
    size_t quantile_count; /* each inside 0..1 */
    bool half;             /* Markov: a half is added to each count of changes */
    bool jitter;           /* bootstraps: sizes near those seen too */
    struct forecast_prior prior;
};

struct lead_time_demand_answer {
    struct rule_said said; /* its method is what was used */
    double mean, variance; /* RULE_NULL, and no pmf and quantiles: the history is too short */
    double r, p;           /* of the negative binomial; RULE_NULL: it is none */
    struct pmf pmf;        /* cells NULL: not known */
    const size_t *quantiles;
};

/* Faults: RULE_CONFLICT for what the method has not; RULE_TYPE for fractions where it counts pieces or periods. */
bool lead_time_demand(const struct lead_time_demand_case *asked, struct arena *arena,
                      struct lead_time_demand_answer *answer, struct rule_fault *fault);

#endif
