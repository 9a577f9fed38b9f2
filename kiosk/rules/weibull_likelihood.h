#ifndef KIOSK_RULES_WEIBULL_LIKELIHOOD_H
#define KIOSK_RULES_WEIBULL_LIKELIHOOD_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/arena.h"
#include "kiosk/rules/weibull.h"

/* The fit of weibull_fit.h itself. */

struct weibull_estimate {
    struct weibull weibull;
    double log_likelihood;
    double v_location, v_both,
        v_scale; /* inverse of the observed information in (ln eta, ln sigma), sigma = 1 / beta */
};

enum weibull_found { WEIBULL_FOUND, WEIBULL_NONE, WEIBULL_NO_ROOM /* the arena is full */ };

/* Hours > 0, of any scale. WEIBULL_NONE: no event, or all events at the largest hours. */
enum weibull_found weibull_estimate(const double *hours, const bool *events, size_t count, struct arena *arena,
                                    struct weibull_estimate *estimate);

/* Standard error of the logarithm of the hours by which p have failed. */
double weibull_log_quantile_se(const struct weibull_estimate *estimate, double p);

#endif
