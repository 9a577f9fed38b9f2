#ifndef KIOSK_RULES_FEFO_SIMULATE_H
#define KIOSK_RULES_FEFO_SIMULATE_H

#include "kiosk/rules/demand_model.h"
#include "kiosk/rules/fefo.h"

/* Waste where the exact recursion of fefo_excess.h does not hold: lots that come later, perhaps late, and jobs that
 * refuse resin with too little life left. Played period by period, first expired first out, many times over; the
 * answers are means with their standard errors. The same seed gives the same answer. */

struct fefo_simulate_lot {
    struct fefo_lot lot;    /* expires: last period whose demand it sees, a whole number */
    int64_t arrives_period; /* >= 0: it serves from the period behind this one on; 0: it is here */
    struct pmf delay;       /* cell k: chance of k periods later; p NULL: it is in time */
};

enum fefo_simulate_asked_by { ASKED_BY_UNIT, ASKED_BY_PERIOD };

struct fefo_simulate_case {
    const struct fefo_simulate_lot *lots;
    size_t lot_count;
    double grid;               /* > 0: what one cell of the model is in the unit of the quantities */
    struct demand_model model; /* of a period; DEMAND_NONE: not known; not DEMAND_NORMAL */
    struct pmf life_left;      /* cell k: share of demand that asks for k periods of life behind this one; p NULL: 0 */
    enum fefo_simulate_asked_by asked_by; /* each cell of demand, or the demand of a period as a whole */
    int64_t replications;                 /* >= 2 */
    uint64_t seed;
};

struct fefo_simulated {
    double mean, se; /* standard error of the mean */
};

struct fefo_simulate_answer {
    struct rule_said said;
    const struct fefo_lot *lots; /* in FEFO order, quantities in cells */
    size_t lot_count;
    const struct fefo_simulated *waste; /* of each, in the unit of the quantities; NULL: not known */
    const double *p_waste;
    struct fefo_simulated total, unmet, refused; /* unmet demand; and what of it found only lots too old for it */
};

bool fefo_simulate(const struct fefo_simulate_case *asked, struct arena *arena, struct fefo_simulate_answer *answer,
                   struct rule_fault *fault);

#endif
