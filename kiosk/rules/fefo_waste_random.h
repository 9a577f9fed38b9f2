#ifndef KIOSK_RULES_FEFO_WASTE_RANDOM_H
#define KIOSK_RULES_FEFO_WASTE_RANDOM_H

#include "kiosk/rules/demand_model.h"
#include "kiosk/rules/fefo.h"

/* What is expected to expire unused when demand is random, exactly (fefo_excess.h). All lots are on hand. */

struct fefo_waste_random_case {
    const struct fefo_lot *lots; /* expires: periods from now whose demand it sees; 0 and below: expired */
    size_t lot_count;
    double grid; /* > 0: what one cell of the model is in the unit of the quantities, which are multiples of it */
    struct demand_model model; /* of a period; DEMAND_NONE: not known; not DEMAND_NORMAL */
};

struct fefo_waste_random_answer {
    struct rule_said said;
    const struct fefo_lot *lots; /* in FEFO order, quantities in cells */
    size_t lot_count;
    const double *expected_waste; /* of each, in the unit of the quantities; NULL: not known */
    const double *p_waste;        /* chance that anything of it expires */
    double total_expected_waste;
};

bool fefo_waste_random(const struct fefo_waste_random_case *asked, struct arena *arena,
                       struct fefo_waste_random_answer *answer, struct rule_fault *fault);

#endif
