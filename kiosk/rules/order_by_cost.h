#ifndef KIOSK_RULES_ORDER_BY_COST_H
#define KIOSK_RULES_ORDER_BY_COST_H

#include "kiosk/rules/demand_model.h"
#include "kiosk/rules/rule.h"

/* How much to order by what it costs: once, for a demand of which only the distribution is known; and again and again,
 * for a steady one. */

/* Newsvendor: the smallest quantity that is enough with a chance of cost_under / (cost_under + cost_over). Arrow,
 * Harris, Marschak, Econometrica 19, 1951 (from memory). */
struct newsvendor_case {
    double cost_under;         /* > 0: of each one that is missing */
    double cost_over;          /* > 0: of each one too many, with its disposal */
    struct demand_model model; /* of all the demand that it is for; DEMAND_NORMAL too, not DEMAND_NONE */
};

struct newsvendor_answer {
    struct rule_said said;
    double ratio;
    int64_t quantity;
    double quantity_exact; /* DEMAND_NORMAL: before it was rounded, may be negative; else the same */
    double p_enough;       /* chance that quantity_exact is enough */
};

bool newsvendor(const struct newsvendor_case *asked, struct arena *arena, struct newsvendor_answer *answer,
                struct rule_fault *fault);

/* Economic order quantity, but no more than is used within the life. Harris, Factory 10, 1913 (from memory). */
struct eoq_case {
    double order_cost, demand_per_year, holding_cost_per_unit_year; /* each > 0 */
    double usable_life_months;                                      /* >= 0; RULE_NULL: it keeps */
};

struct eoq_answer {
    struct rule_said said;
    double eoq;
    double life_cap; /* RULE_NULL: it keeps */
    double quantity_exact;
    const char *limited_by; /* "eoq" or "life" */
};

bool eoq(const struct eoq_case *asked, struct arena *arena, struct eoq_answer *answer, struct rule_fault *fault);

#endif
