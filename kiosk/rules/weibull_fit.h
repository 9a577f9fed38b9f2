#ifndef KIOSK_RULES_WEIBULL_FIT_H
#define KIOSK_RULES_WEIBULL_FIT_H

#include <stddef.h>

#include "kiosk/rules/rule.h"
#include "kiosk/rules/weibull.h"

/* The Weibull distribution that makes the lives seen most likely, from units that wore out and units that still serve
 * (right-censored): maximum likelihood with the observed information. Meeker, Escobar, Statistical Methods for
 * Reliability Data, 1998, ch. 8, from memory. The scale follows from the shape, and the derivative of the likelihood
 * left for the shape grows with it, so there is one answer, or none: when nothing has worn out, or only units of the
 * largest hours have, for then ever steeper curves fit ever better. */

enum { WEIBULL_FIT_LEAST_EVENTS = 3 /* fewer give no B life: common practice, no source */ };

struct weibull_fit_case {
    size_t unit_count;
    const double *hours;   /* > 0 */
    const bool *events;    /* true: wore out then; false: served at least so long */
    const double *b_lives; /* 0 < p < 1: by when have p of the units failed? */
    size_t b_life_count;
    double confidence;                  /* 0 < confidence < 1, two-sided */
    const struct weibull_span *survive; /* will one that has reached `from_hours` last so many more? */
    size_t survive_count;
    const double *mean_remaining_at; /* >= 0 */
    size_t mean_remaining_count;
};

struct weibull_b_life {
    double hours, lower_hours, upper_hours; /* delta method on ln of the hours */
};

struct weibull_fit_answer {
    struct rule_said said;
    size_t event_count;
    /* RULE_NULL or NULL, all of them: there is no fit. One of them: it is larger than a double. */
    double eta_hours, beta, log_likelihood;
    double se_eta_hours, se_beta;
    double mean_hours;
    const struct weibull_b_life *b_lives; /* of each, RULE_NULLs with fewer than WEIBULL_FIT_LEAST_EVENTS */
    const double *survive;                /* chance of each */
    const double *mean_remaining_hours;   /* of each */
};

bool weibull_fit(const struct weibull_fit_case *asked, struct arena *arena, struct weibull_fit_answer *answer,
                 struct rule_fault *fault);

#endif
