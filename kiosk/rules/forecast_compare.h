#ifndef KIOSK_RULES_FORECAST_COMPARE_H
#define KIOSK_RULES_FORECAST_COMPARE_H

#include <stddef.h>

#include "kiosk/rules/demand_history.h"

/* Which method would have forecast this item best? Tried on its own history: from a first origin on, period after
 * period, each method sees what was known then and forecasts the next period, and the sum of the lead time's periods;
 * both are held against what came. Rolling origin: Tashman, International Journal of Forecasting 16, 2000, 437-450.
 * MASE, the mean absolute error in units of the last-value forecast's own before the first origin: Hyndman and Koehler,
 * the same 22, 2006, 679-688; over several periods likewise, of their sums (ours).
 *
 * Squared errors choose the mean, which a reorder point needs; absolute ones choose the median, which of a slow item is
 * 0: they reward a forecast of nothing. */

enum { FORECAST_COMPARED = 9, FORECAST_LEAST_TESTS = 6 };
/* In this order; the first of equals is best, so that a naive one stays unless another is better. */
extern const enum forecast_method forecast_compared[FORECAST_COMPARED];

struct forecast_compare_case {
    struct demand_series series;
    size_t lead_periods; /* >= 1 */
    size_t first_origin; /* periods known to the first forecast; 0: half of them, six at least */
    bool absolute;       /* choose by the absolute error, not by the squared one */
    double alpha, beta;  /* 0 < both <= 1 */
    struct forecast_prior prior;
};

struct forecast_errors {
    double absolute, squared; /* means */
    double mase;              /* RULE_NULL: there is no scale */
};

struct forecast_trial {
    enum forecast_method method;
    bool known; /* it had a forecast at the first origin already; else its errors are RULE_NULL */
    struct forecast_errors one_step, over_lead;
};

struct forecast_compare_answer {
    struct rule_said said;
    size_t periods, first_origin, one_step_tests, lead_tests;
    bool known;                        /* the history is long enough; else there is nothing below */
    double one_step_scale, lead_scale; /* RULE_NULL: nothing changed before the first origin */
    struct forecast_trial trials[FORECAST_COMPARED];
    enum forecast_method best;         /* over the lead time */
    double gain_on_last, gain_on_mean; /* share by which its error is less; 0: not at all */
};

/* Fault: RULE_RANGE, numbers too large. */
bool forecast_compare(const struct forecast_compare_case *asked, struct arena *arena,
                      struct forecast_compare_answer *answer, struct rule_fault *fault);

#endif
