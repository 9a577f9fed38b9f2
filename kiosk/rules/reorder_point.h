#ifndef KIOSK_RULES_REORDER_POINT_H
#define KIOSK_RULES_REORDER_POINT_H

#include <stdint.h>

#include "kiosk/rules/demand_model.h"

/* When to order, and how much. Two ways: looked at after every issue, order a fixed quantity Q once the position is
 * down to s (s,Q); or looked at every R periods, order up to S (R,S). Two measures, which give different levels for the
 * same percentage: the chance that nothing runs short in a cycle (P1), and the share of demand that is filled from the
 * shelf (P2). Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, 4th ed. 2017 (from
 * memory); level, cover and share by sums over the distribution, not by the approximations for hand.
 *
 * Position: on hand, plus on order, less what is owed. (s,Q) takes the position to be exactly s when an order goes out:
 * with large issues it is less, and the service is worse than said; (R,S) has no such gap. */

enum reorder_measure { REORDER_CYCLE, REORDER_FILL };

struct reorder_point_case {
    struct demand_model model;    /* of one period; not DEMAND_NONE */
    double lead_periods;          /* > 0 */
    double lead_variance;         /* >= 0, periods^2; above 0 for negative binomial and normal only */
    double review_periods;        /* >= 0; 0: (s,Q), above: (R,S) */
    enum reorder_measure measure; /* what `target` is of */
    double target;                /* inside 0..1 */
    double order_quantity;        /* > 0; RULE_NULL: none given */
    double on_hand;               /* >= 0; RULE_NULL: not known, and then no order is proposed */
    double on_order, backorders;  /* >= 0 */
    int64_t pack;                 /* >= 1: orders are multiples of it */
    int64_t cap;                  /* >= 0: most to order; RULE_NO_COUNT: none */
};

struct reorder_point_answer {
    struct rule_said said;
    double level;         /* s or S; whole unless the model is normal */
    double k;             /* level in standard deviations above the mean; RULE_NULL unless the model is normal */
    double cycle_service; /* at that level; likewise the next two, RULE_NULL where they have no meaning */
    double fill_rate;
    double expected_short; /* in a cycle */
    double position;       /* RULE_NULL, and the next two null: on_hand is not known */
    enum rule_truth order;
    int64_t suggested_quantity;
};

/* Faults: RULE_MISSING of order_quantity for a fill rate of (s,Q); RULE_CONFLICT for what the model has not. */
bool reorder_point(const struct reorder_point_case *asked, struct arena *arena, struct reorder_point_answer *answer,
                   struct rule_fault *fault);

#endif
