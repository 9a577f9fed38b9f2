#ifndef KIOSK_RULES_ORDER_BY_WASTE_H
#define KIOSK_RULES_ORDER_BY_WASTE_H

#include "kiosk/rules/demand_model.h"
#include "kiosk/rules/fefo.h"

/* The largest order of which no more than a share is expected to expire unused, given what is on hand: the new lot's
 * waste by the exact recursion of fefo_excess.h. */

struct order_by_waste_case {
    const struct fefo_lot *on_hand; /* whole quantities; expires: periods from now whose demand it sees */
    size_t on_hand_count;
    double new_expires_period; /* > 0; of one expiry with a lot on hand, the new lot comes behind it */
    struct demand_model model; /* of a period; DEMAND_NONE: not known; not DEMAND_NORMAL */
    double max_waste_share;    /* >= 0 */
    int64_t pack;              /* >= 1: a multiple of it is ordered */
    int64_t max_quantity;      /* >= 0, 2^53 at most */
};

struct order_row {
    int64_t quantity;
    double expected_waste, waste_share; /* of the new lot */
};

struct order_by_waste_answer {
    struct rule_said said;
    struct order_row chosen;       /* RULE_NO_COUNT and RULE_NULL: not known */
    double expected_waste_on_hand; /* of the lots on hand, when nothing is ordered */
    const struct order_row *table; /* pack, 2 pack, … to one pack more than is ordered; NULL: not known */
    size_t table_count;
};

bool order_by_waste(const struct order_by_waste_case *asked, struct arena *arena, struct order_by_waste_answer *answer,
                    struct rule_fault *fault);

#endif
