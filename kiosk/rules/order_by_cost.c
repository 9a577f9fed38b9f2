#include "kiosk/rules/order_by_cost.h"

#include <math.h>

#include <gsl/gsl_cdf.h>

#define MOST_WHOLE 9007199254740992.0 /* 2^53: up to there a double counts */

static bool normal(const struct newsvendor_case *asked, struct newsvendor_answer *answer, struct rule_fault *fault)
{
    const double z = gsl_cdf_ugaussian_Pinv(answer->ratio), exact = asked->model.mean + z * sqrt(asked->model.variance);
    const double whole = fmax(0, floor(exact + 0.5));
    if (!(isfinite(exact) && whole <= MOST_WHOLE))
        return rule_fault_set(fault, RULE_RANGE, "model", "the quantity is too large to be counted: check the model");
    answer->quantity_exact = exact;
    answer->quantity = (int64_t)whole;
    answer->p_enough = gsl_cdf_ugaussian_P(z);
    return true;
}

static bool discrete(const struct newsvendor_case *asked, struct arena *arena, struct newsvendor_answer *answer,
                     struct rule_fault *fault)
{
    struct pmf pmf;
    if (!demand_over(&asked->model, 1, 0, "model", arena, &pmf, fault))
        return false;
    answer->quantity = (int64_t)pmf_quantile(&pmf, answer->ratio);
    answer->quantity_exact = (double)answer->quantity;
    answer->p_enough = pmf_at_most(&pmf, answer->quantity_exact);
    return true;
}

bool newsvendor(const struct newsvendor_case *asked, struct arena *arena, struct newsvendor_answer *answer,
                struct rule_fault *fault)
{
    const double under = asked->cost_under / 2, over = asked->cost_over / 2; /* halves, so that the sum is finite */
    *answer = (struct newsvendor_answer){.said = {.method = "newsvendor"}, .ratio = under / (under + over)};
    if (asked->model.kind == DEMAND_NORMAL ? !normal(asked, answer, fault) : !discrete(asked, arena, answer, fault))
        return false;
    answer->said.sentence =
        rule_text(arena, "Order %lld: enough with a chance of %.0f %%, where one missing costs %s and one too many %s.",
                  (long long)answer->quantity, 100 * answer->p_enough, rule_number(arena, asked->cost_under),
                  rule_number(arena, asked->cost_over));
    return true;
}

bool eoq(const struct eoq_case *asked, struct arena *arena, struct eoq_answer *answer, struct rule_fault *fault)
{
    *answer = (struct eoq_answer){
        .said = {.method = "eoq"},
        .eoq = sqrt(2 * asked->order_cost * asked->demand_per_year / asked->holding_cost_per_unit_year),
        .life_cap = asked->demand_per_year * asked->usable_life_months / 12, /* RULE_NULL when there is no life */
        .limited_by = "eoq"};
    if (!isfinite(answer->eoq) || isinf(answer->life_cap))
        return rule_fault_set(fault, RULE_RANGE, "", "the quantity is too large to be computed: check the units");
    answer->quantity_exact = fmin(answer->eoq, answer->life_cap); /* fmin passes a NAN over */
    if (answer->life_cap < answer->eoq - RULE_SLACK)
        answer->limited_by = "life";
    answer->said.sentence =
        answer->limited_by[0] == 'l'
            ? rule_text(arena, "Order %s at a time: no more is used within its life (by cost alone it would be %s).",
                        rule_number(arena, answer->quantity_exact), rule_number(arena, answer->eoq))
            : rule_text(arena, "Order %s at a time, about every %s months.", rule_number(arena, answer->quantity_exact),
                        rule_number(arena, 12 * answer->quantity_exact / asked->demand_per_year));
    return true;
}
