#ifndef KIOSK_RULES_DEMAND_FORECAST_H
#define KIOSK_RULES_DEMAND_FORECAST_H

#include "kiosk/rules/demand_history.h"

/* Demand per period to be expected from now on, by one method (demand_history.h says them and their sources). A point
 * forecast only: how far demand may go beyond it is for lead_time_demand. */

struct demand_forecast_case {
    struct demand_series series;
    enum forecast_method method; /* up to FORECAST_GAMMA_POISSON */
    double alpha, beta;          /* 0 < both <= 1 */
    bool phased_out;             /* for FORECAST_AUTO: the item is dying */
    struct forecast_prior prior; /* both > 0 */
};

struct demand_forecast_answer {
    struct rule_said said;      /* its method is the one that was used */
    double forecast_per_period; /* RULE_NULL: the history is too short for the method; then all below are, too */
    double size, interval;      /* smoothed; RULE_NULL, here and below: the method has none */
    double probability;         /* TSB: that a period has demand */
    double level;               /* SES */
};

bool demand_forecast(const struct demand_forecast_case *asked, struct arena *arena,
                     struct demand_forecast_answer *answer, struct rule_fault *fault);

#endif
