#ifndef KIOSK_RULES_FEFO_WASTE_H
#define KIOSK_RULES_FEFO_WASTE_H

#include "kiosk/rules/fefo.h"

/* What will expire unused when demand is known: lots on hand, used in FEFO order (fefo.h) through the end of the day
 * they expire on. With A the stock of the lots up to one and D the demand through its last day, the waste up to it is
 * W = max(W of the lot before, A - D): while one of them is left, every use comes out of them. Own derivation, tested
 * against a simulation day by day. */

struct fefo_waste_case {
    const struct fefo_lot *lots; /* expires: the day, the first day of demand is 1; 0 and below: expired */
    size_t lot_count;
    double per_day;       /* demand of every day, >= 0; RULE_NULL: not known, or `demand` says it */
    const double *demand; /* of day 1, 2, … through the last expiry at least, each >= 0; NULL: not known or per_day */
    size_t demand_count;
};

struct fefo_waste_answer {
    struct rule_said said;
    const struct fefo_lot *lots; /* in FEFO order */
    size_t lot_count;
    const double *waste; /* of each; NULL: not known */
    double total_waste;
    double unmet; /* demand through the last expiry that finds nothing */
};

bool fefo_waste(const struct fefo_waste_case *asked, struct arena *arena, struct fefo_waste_answer *answer,
                struct rule_fault *fault);

#endif
