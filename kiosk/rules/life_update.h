#ifndef KIOSK_RULES_LIFE_UPDATE_H
#define KIOSK_RULES_LIFE_UPDATE_H

#include <stddef.h>

#include "kiosk/rules/rule.h"
#include "kiosk/rules/weibull.h"

/* The maker's rated life, questioned by one's own vats. Lives are Weibull of a known shape beta; of theta = eta^-beta
 * the rating is worth `prior_events` vats seen, Gamma(a0, b0) with mean theta0, and the own ones bring it to Gamma(a0 +
 * events, b0 + sum of hours^beta): closed form. Beside it the same from the own vats alone ("Weibayes"; Abernethy, The
 * New Weibull Handbook, from memory). */

struct life_update_case {
    double beta;         /* > 0 */
    double rated_hours;  /* > 0: by which … */
    double rated_p;      /* … this share is said to have worn out, 0 < p < 1 */
    double prior_events; /* > 0: how many vats worn out the rating is worth */
    size_t unit_count;
    const double *hours;                /* > 0 */
    const bool *events;                 /* true: wore out then; false: served at least so long */
    double credible;                    /* 0 < p < 1, equal tails */
    const struct weibull_span *predict; /* will one that has reached `from_hours` last so many more? */
    size_t predict_count;
    double keep_from_hours;  /* >= 0: one of these hours, how many more … */
    double keep_probability; /* … will it last with this chance? 0 < p < 1 */
    double lower_confidence; /* 0 < p < 1, of the classical lower limits */
};

struct life_update_answer {
    struct rule_said said;
    /* Any of these RULE_NULL: beyond a double, or the quantile could not be computed; `said` tells. */
    double a, b;                    /* b in hours^beta */
    double eta_hours, b_life_hours; /* at the mean of theta; the life is that of rated_p */
    double b_life_median_hours, b_life_lower_hours, b_life_upper_hours;
    const double *predict; /* chance of each, over all that theta may be */
    double keep_hours;
    struct life_update_classical {
        double eta_hours, b_life_hours;             /* RULE_NULL: no event */
        double eta_lower_hours, b_life_lower_hours; /* RULE_NULL: no units */
    } classical;
};

bool life_update(const struct life_update_case *asked, struct arena *arena, struct life_update_answer *answer,
                 struct rule_fault *fault);

#endif
