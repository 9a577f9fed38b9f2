#include "kiosk/rules/lead_time_demand.h"

#include <math.h>

#include "kiosk/rules/demand_bootstrap.h"

const char *const lead_time_method_words[LEAD_TIME_METHODS + 1] = {
    "negative-binomial", "poisson", "markov-bootstrap", "iid-bootstrap", "gamma-poisson", NULL};

static bool is_bootstrap(enum lead_time_method method)
{
    return method == LEAD_TIME_MARKOV_BOOTSTRAP || method == LEAD_TIME_IID_BOOTSTRAP;
}

/* --- does the case make sense --- */

static bool has_only_its_own(const struct lead_time_demand_case *asked, struct rule_fault *fault)
{
    const char *word = lead_time_method_words[asked->method];
    if (asked->lead_variance > 0 && asked->method != LEAD_TIME_NEGATIVE_BINOMIAL)
        return rule_fault_set(fault, RULE_CONFLICT, "lead_variance",
                              "'lead_variance' is for the negative binomial alone: leave it out, or take that method "
                              "instead of %s",
                              word);
    if (asked->half && asked->method != LEAD_TIME_MARKOV_BOOTSTRAP)
        return rule_fault_set(fault, RULE_CONFLICT, "smoothing",
                              "'smoothing' is for the markov-bootstrap alone: leave it out for %s", word);
    if (asked->jitter && !is_bootstrap(asked->method))
        return rule_fault_set(fault, RULE_CONFLICT, "jitter",
                              "'jitter' is for the bootstraps alone: leave it out for %s", word);
    if (asked->from_moments && asked->method > LEAD_TIME_POISSON)
        return rule_fault_set(fault, RULE_CONFLICT, "mean_per_period",
                              "%s needs the history itself, not its mean: give 'demand'", word);
    if (!is_bootstrap(asked->method))
        return true;
    if (asked->lead_periods != floor(asked->lead_periods))
        return rule_fault_set(fault, RULE_TYPE, "lead_periods",
                              "'lead_periods' is %g, but a bootstrap is of whole periods", asked->lead_periods);
    return demand_is_whole(&asked->series) ||
           rule_fault_set(fault, RULE_TYPE, "demand",
                          "'demand' has fractions, but a bootstrap counts pieces: give whole numbers");
}

/* --- one function a kind of method; false: a fault. What stays unknown has its reason in `why`. --- */

static bool by_moments(const struct lead_time_demand_case *asked, struct arena *arena,
                       struct lead_time_demand_answer *answer, const char **why, struct rule_fault *fault)
{
    const bool poisson = asked->method == LEAD_TIME_POISSON;
    double mean = asked->mean_per_period, variance = asked->variance_per_period;
    if (!asked->from_moments) {
        struct demand_history history;
        if (!demand_history_of(&asked->series, 1, 1, &history, fault))
            return false;
        if (history.periods < (poisson ? 1 : 2)) {
            *why = poisson ? "there is no period with stock: record some first"
                           : "it takes two periods with stock to see how demand varies: record more";
            return true;
        }
        mean = demand_history_forecast(&history, FORECAST_MEAN, NULL);
        variance = poisson ? mean : demand_history_variance(&history);
    }
    answer->mean = asked->lead_periods * mean;
    answer->variance = asked->lead_periods * variance + mean * mean * asked->lead_variance;
    if (!isfinite(answer->mean) || !isfinite(answer->variance))
        return rule_fault_memory(fault);
    if (poisson || mean == 0 || answer->variance <= answer->mean * (1 + RULE_SLACK)) {
        answer->said.method = lead_time_method_words[LEAD_TIME_POISSON];
        answer->variance = answer->mean;
        return pmf_poisson(arena, answer->mean, &answer->pmf) || rule_fault_memory(fault);
    }
    answer->p = answer->mean / answer->variance;
    answer->r = answer->mean * answer->p / (1 - answer->p);
    return pmf_negative_binomial(arena, answer->mean, answer->variance, &answer->pmf) || rule_fault_memory(fault);
}

static bool by_bootstrap(const struct lead_time_demand_case *asked, struct arena *arena,
                         struct lead_time_demand_answer *answer, const char **why, struct rule_fault *fault)
{
    const bool markov = asked->method == LEAD_TIME_MARKOV_BOOTSTRAP;
    const struct demand_series *series = &asked->series;
    struct demand_history history;
    struct demand_chain chain;
    struct pmf sizes;
    if (!demand_history_of(series, 1, 1, &history, fault))
        return false;
    if (history.periods == 0)
        *why = "there is no period with stock: record some first";
    else if (history.nonzero == 0 && markov)
        *why = "no period had demand, so that there are no sizes to draw from";
    else if (markov && !demand_chain_markov(series, asked->half, &chain))
        *why = "the history does not show what follows a period with demand, or one without: smoothing 'half' allows "
               "for that";
    if (*why)
        return true;
    if (!markov)
        chain = demand_chain_iid(series);
    const bool made = history.nonzero == 0
                          ? pmf_poisson(arena, 0, &answer->pmf)
                          : demand_sizes(series, asked->jitter, arena, &sizes) &&
                                demand_chain_sum(&chain, &sizes, asked->lead_periods, arena, &answer->pmf);
    if (!made)
        return rule_fault_memory(fault);
    answer->mean = pmf_mean(&answer->pmf);
    answer->variance = pmf_variance(&answer->pmf);
    return true;
}

static bool by_gamma_poisson(const struct lead_time_demand_case *asked, struct arena *arena,
                             struct lead_time_demand_answer *answer, const char **why, struct rule_fault *fault)
{
    struct demand_history history;
    if (!demand_history_of(&asked->series, 1, 1, &history, fault))
        return false;
    if (history.periods == 0) {
        *why = "there is no period with stock: record one at least";
        return true;
    }
    const double seen = asked->prior.b + (double)history.periods;
    answer->r = asked->prior.a + history.sum;
    answer->p = seen / (seen + asked->lead_periods);
    answer->mean = answer->r * asked->lead_periods / seen;
    answer->variance = answer->mean / answer->p;
    if (!isfinite(answer->variance)) /* of numbers near the largest there are */
        return rule_fault_memory(fault);
    return pmf_negative_binomial_rp(arena, answer->r, answer->p, &answer->pmf) || rule_fault_memory(fault);
}

/* --- the answer --- */

static void say_unknown(const char *why, struct arena *arena, struct lead_time_demand_answer *answer)
{
    rule_set_unknown(&answer->said, "pmf", why);
    answer->said.sentence = rule_text(arena, "Demand over the lead time is not known: %s.", why);
}

static bool take_quantiles(const struct lead_time_demand_case *asked, struct arena *arena,
                           struct lead_time_demand_answer *answer, struct rule_fault *fault)
{
    size_t *quantiles = arena_take(arena, asked->quantile_count, sizeof *quantiles), highest = 0;
    if (!quantiles)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->quantile_count; i++) {
        quantiles[i] = pmf_quantile(&answer->pmf, asked->quantiles[i]);
        highest = asked->quantiles[i] > asked->quantiles[highest] ? i : highest;
    }
    answer->quantiles = quantiles;
    const char *most = asked->quantile_count == 0 ? ""
                                                  : rule_text(arena, "; with a chance of %g %% it is no more than %zu",
                                                              100 * asked->quantiles[highest], quantiles[highest]);
    answer->said.sentence =
        rule_text(arena, "Over %g period%s expect %s%s (%s).", asked->lead_periods, asked->lead_periods == 1 ? "" : "s",
                  rule_number(arena, answer->mean), most, answer->said.method);
    return true;
}

bool lead_time_demand(const struct lead_time_demand_case *asked, struct arena *arena,
                      struct lead_time_demand_answer *answer, struct rule_fault *fault)
{
    const char *why = NULL;
    bool good = false;
    *answer = (struct lead_time_demand_answer){.said = {.method = lead_time_method_words[asked->method]},
                                               .mean = RULE_NULL,
                                               .variance = RULE_NULL,
                                               .r = RULE_NULL,
                                               .p = RULE_NULL};
    if (!has_only_its_own(asked, fault))
        return false;
    if (asked->method <= LEAD_TIME_POISSON)
        good = by_moments(asked, arena, answer, &why, fault);
    else if (is_bootstrap(asked->method))
        good = by_bootstrap(asked, arena, answer, &why, fault);
    else
        good = by_gamma_poisson(asked, arena, answer, &why, fault);
    if (!good)
        return false;
    if (!why)
        return take_quantiles(asked, arena, answer, fault);
    say_unknown(why, arena, answer);
    return true;
}
