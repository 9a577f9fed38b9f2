#include "kiosk/rules/reorder_point.h"

#include <assert.h>
#include <math.h>

#include <gsl/gsl_cdf.h>

#include "kiosk/rules/normal_loss.h"

#define MOST_WHOLE 9007199254740992.0 /* 2^53: up to there a double holds every whole number */

static bool is_up_to(const struct reorder_point_case *asked) /* (R,S) */
{
    return asked->review_periods > 0;
}

/* --- does the case make sense --- */

static bool has_whole_periods(const struct reorder_point_case *asked, struct rule_fault *fault)
{
    const bool lead = asked->lead_periods == floor(asked->lead_periods);
    const char *key = lead ? "review_periods" : "lead_periods";
    if (asked->model.kind != DEMAND_PMF || (lead && asked->review_periods == floor(asked->review_periods)))
        return true;
    return rule_fault_set(fault, RULE_CONFLICT, key,
                          "'%s' is %g, but a demand given as a pmf is of whole periods: give a whole number or another "
                          "model",
                          key, lead ? asked->review_periods : asked->lead_periods);
}

static bool is_sensible(const struct reorder_point_case *asked, struct rule_fault *fault)
{
    const enum demand_kind kind = asked->model.kind;
    const bool fill = asked->measure == REORDER_FILL;
    if (kind == DEMAND_NONE)
        return rule_fault_set(fault, RULE_MISSING, "model", "'model' is missing: give the demand of one period");
    if (asked->lead_variance > 0 && kind != DEMAND_NEGATIVE_BINOMIAL && kind != DEMAND_NORMAL)
        return rule_fault_set(
            fault, RULE_CONFLICT, "lead_variance",
            "'lead_variance' is for a negative binomial or a normal demand: leave it out, or give the "
            "model as one of these");
    if (fill && !is_up_to(asked) && rule_is_null(asked->order_quantity))
        return rule_fault_set(fault, RULE_MISSING, "order_quantity",
                              "'order_quantity' is missing: without it there is no fill rate; give it or "
                              "'review_periods', or ask for 'cycle'");
    if (fill && is_up_to(asked) && kind == DEMAND_NORMAL)
        return rule_fault_set(
            fault, RULE_CONFLICT, "measure",
            "a fill rate with review periods is not computed for a normal demand: ask for 'cycle', or "
            "give another model");
    if (fill && is_up_to(asked) && demand_mean(&asked->model) == 0)
        return rule_fault_set(fault, RULE_CONFLICT, "model",
                              "the demand is 0, of which no share can be filled: ask for 'cycle'");
    return has_whole_periods(asked, fault);
}

/* --- whole numbers --- */

/* Demand over the time until the next delivery can come, and, of (R,S), over the lead time alone: what is short at the
 * end of a cycle less what was short at its start. E[(D - x)+] at whole x of each, `count` cells. */
struct cover {
    struct pmf whole;
    double *loss, *loss_before; /* NULL: (s,Q) */
    size_t count, count_before;
};

static double *make_losses(const struct pmf *pmf, struct arena *arena)
{
    double *loss = arena_take(arena, pmf->count, sizeof *loss), above = 0;
    for (size_t k = pmf->count - 1; loss && k-- > 0;) {
        above += pmf->p[k + 1];
        loss[k] = loss[k + 1] + above;
    }
    return loss;
}

/* Straight between whole numbers, 0 from the last cell on. */
static double loss_at(const double *loss, size_t count, double x)
{
    const double below = floor(x);
    if (below >= (double)(count - 1))
        return 0;
    const size_t k = (size_t)below;
    return loss[k] + (x - below) * (loss[k + 1] - loss[k]);
}

static bool make_cover(const struct reorder_point_case *asked, struct arena *arena, struct cover *cover,
                       struct rule_fault *fault)
{
    const double mean = demand_mean(&asked->model), extra = mean * mean * asked->lead_variance;
    const double periods = asked->lead_periods + asked->review_periods;
    struct pmf before;
    if (!isfinite(extra) || !isfinite(periods) || !isfinite(mean * periods))
        return rule_fault_memory(fault);
    if (!demand_over(&asked->model, periods, extra, "lead_periods", arena, &cover->whole, fault))
        return false;
    cover->count = cover->whole.count;
    cover->loss = make_losses(&cover->whole, arena);
    if (!cover->loss)
        return rule_fault_memory(fault);
    if (!is_up_to(asked))
        return true;
    if (!demand_over(&asked->model, asked->lead_periods, extra, "lead_periods", arena, &before, fault))
        return false;
    cover->count_before = before.count;
    cover->loss_before = make_losses(&before, arena);
    return cover->loss_before || rule_fault_memory(fault);
}

/* Expected shortage of a cycle, and what it is a share of. */
static double short_at(const struct reorder_point_case *asked, const struct cover *cover, double level)
{
    assert(cover->loss);
    return loss_at(cover->loss, cover->count, level) -
           (cover->loss_before ? loss_at(cover->loss_before, cover->count_before, level)
                               : loss_at(cover->loss, cover->count, level + asked->order_quantity));
}

static double cycle_demand(const struct reorder_point_case *asked)
{
    return is_up_to(asked) ? demand_mean(&asked->model) * asked->review_periods : asked->order_quantity;
}

/* One by one from 0, for with a lead time that varies much the share need not rise all the way. */
static double level_for_fill(const struct reorder_point_case *asked, const struct cover *cover)
{
    const double demand = cycle_demand(asked);
    size_t level = 0;
    while (level + 1 < cover->count && 1 - short_at(asked, cover, (double)level) / demand < asked->target - RULE_SLACK)
        level++;
    return (double)level;
}

static bool by_cells(const struct reorder_point_case *asked, struct arena *arena, struct reorder_point_answer *answer,
                     struct rule_fault *fault)
{
    struct cover cover = {0};
    if (!make_cover(asked, arena, &cover, fault))
        return false;
    answer->level = asked->measure == REORDER_FILL ? level_for_fill(asked, &cover)
                                                   : (double)pmf_quantile(&cover.whole, asked->target);
    answer->cycle_service = pmf_at_most(&cover.whole, answer->level);
    if (!is_up_to(asked) && rule_is_null(asked->order_quantity))
        return true;
    answer->expected_short = short_at(asked, &cover, answer->level);
    if (cycle_demand(asked) > 0)
        answer->fill_rate = 1 - answer->expected_short / cycle_demand(asked);
    else
        rule_set_unknown(&answer->said, "fill_rate", "the demand is 0, of which no share can be filled");
    return true;
}

/* --- normal --- */

static bool by_normal(const struct reorder_point_case *asked, struct reorder_point_answer *answer,
                      struct rule_fault *fault)
{
    const double periods = asked->lead_periods + asked->review_periods, one = asked->model.mean;
    const double mean = one * periods;
    const double sd = sqrt(asked->model.variance * periods + one * one * asked->lead_variance);
    answer->k = asked->measure == REORDER_FILL ? normal_loss_inverse(asked->order_quantity / sd * (1 - asked->target))
                                               : gsl_cdf_ugaussian_Pinv(asked->target);
    answer->level = mean + answer->k * sd;
    if (!isfinite(answer->level)) /* numbers so large or small that they ran out */
        return rule_fault_set(fault, RULE_RANGE, "",
                              "the numbers are too large or too small to be computed with: use another unit");
    answer->cycle_service = gsl_cdf_ugaussian_P(answer->k);
    if (is_up_to(asked))
        return true;
    answer->expected_short = sd * normal_loss(answer->k);
    if (!rule_is_null(asked->order_quantity))
        answer->fill_rate = 1 - answer->expected_short / asked->order_quantity;
    return true;
}

/* --- the order --- */

static double in_packs(const struct reorder_point_case *asked, double quantity)
{
    const double pack = (double)asked->pack;
    return ceil(quantity / pack - RULE_SLACK) * pack;
}

/* Of (s,Q) the fewest times Q that lift the position above the level, of (R,S) what is wanting to it. */
static double wanted(const struct reorder_point_case *asked, const struct reorder_point_answer *answer)
{
    const double missing = answer->level - answer->position;
    const double unit = rule_is_null(asked->order_quantity) ? 1 : asked->order_quantity;
    if (is_up_to(asked))
        return in_packs(asked, missing);
    return in_packs(asked, (floor((missing + RULE_SLACK) / unit) + 1) * unit);
}

static bool propose(const struct reorder_point_case *asked, struct reorder_point_answer *answer,
                    struct rule_fault *fault)
{
    if (rule_is_null(asked->on_hand))
        return true;
    answer->position = asked->on_hand + asked->on_order - asked->backorders;
    const double missing = answer->level - answer->position;
    const bool order = is_up_to(asked) ? missing > RULE_SLACK : missing >= -RULE_SLACK;
    answer->order = order ? TRUTH_YES : TRUTH_NO;
    answer->suggested_quantity = 0;
    if (!order)
        return true;
    double quantity = wanted(asked, answer);
    if (asked->cap != RULE_NO_COUNT) {
        const int64_t packs = asked->cap / asked->pack;
        quantity = fmin(quantity, (double)(packs * asked->pack));
    }
    if (!(quantity <= MOST_WHOLE))
        return rule_fault_set(
            fault, RULE_RANGE, "",
            "the order would be of more pieces than can be counted: use a larger unit, or give a cap");
    answer->suggested_quantity = (int64_t)quantity;
    return true;
}

static void say(const struct reorder_point_case *asked, struct arena *arena, struct reorder_point_answer *answer)
{
    const bool fill = asked->measure == REORDER_FILL, order = answer->order == TRUTH_YES;
    const char *level =
        rule_text(arena, is_up_to(asked) ? "Each review, order up to %s" : "Order when the position is down to %s",
                  rule_number(arena, answer->level));
    const char *service =
        fill ? rule_text(arena, "then %.1f %% of the demand is filled from the shelf", 100 * answer->fill_rate)
             : rule_text(arena, "then nothing runs short in %.1f %% of the cycles", 100 * answer->cycle_service);
    const char *now = "";
    if (answer->order != TRUTH_NULL)
        now = rule_text(arena, " The position is %s: order %lld%s.", rule_number(arena, answer->position),
                        (long long)answer->suggested_quantity,
                        order && wanted(asked, answer) > (double)answer->suggested_quantity ? ", no more for the cap"
                                                                                            : "");
    answer->said.sentence = rule_text(arena, "%s: %s.%s", level, service, now);
}

bool reorder_point(const struct reorder_point_case *asked, struct arena *arena, struct reorder_point_answer *answer,
                   struct rule_fault *fault)
{
    static const char *const methods[2][2] = {{"(s,Q), cycle service", "(s,Q), fill rate"},
                                              {"(R,S), cycle service", "(R,S), fill rate"}};
    *answer =
        (struct reorder_point_answer){.said = {.method = methods[is_up_to(asked)][asked->measure == REORDER_FILL]},
                                      .k = RULE_NULL,
                                      .fill_rate = RULE_NULL,
                                      .expected_short = RULE_NULL,
                                      .position = RULE_NULL,
                                      .order = TRUTH_NULL,
                                      .suggested_quantity = RULE_NO_COUNT};
    if (!is_sensible(asked, fault))
        return false;
    const bool good =
        asked->model.kind == DEMAND_NORMAL ? by_normal(asked, answer, fault) : by_cells(asked, arena, answer, fault);
    if (!good || !propose(asked, answer, fault))
        return false;
    say(asked, arena, answer);
    return true;
}
