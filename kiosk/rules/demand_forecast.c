#include "kiosk/rules/demand_forecast.h"

#include <math.h>

static void say_unknown(const struct demand_history *history, enum forecast_method method, struct arena *arena,
                        struct demand_forecast_answer *answer)
{
    bool nonzero = false;
    const size_t needs = forecast_needs(method, &nonzero);
    const char *what = nonzero ? "with demand" : "with stock", *word = answer->said.method;
    const size_t has = nonzero ? history->nonzero : history->periods;
    const char *why = method == FORECAST_AUTO
                          ? "there is no period with stock: record some first"
                          : rule_text(arena, "%s needs %zu period%s %s and there %s %zu: wait, or take another method",
                                      word, needs, needs == 1 ? "" : "s", what, has == 1 ? "is" : "are", has);
    rule_set_unknown(&answer->said, "forecast_per_period", why);
    answer->said.sentence = rule_text(arena, "Demand is not known: %s.", why);
}

static void copy_state(const struct demand_history *history, enum forecast_method method,
                       struct demand_forecast_answer *answer)
{
    switch (method) {
    case FORECAST_SES:
        answer->level = history->level;
        break;
    case FORECAST_CROSTON:
    case FORECAST_SBA:
    case FORECAST_SBJ:
        answer->size = history->size;
        answer->interval = history->interval;
        break;
    case FORECAST_TSB:
        answer->size = history->size;
        answer->probability = history->probability;
        break;
    default:
        break;
    }
}

bool demand_forecast(const struct demand_forecast_case *asked, struct arena *arena,
                     struct demand_forecast_answer *answer, struct rule_fault *fault)
{
    struct demand_history history;
    *answer = (struct demand_forecast_answer){
        .size = RULE_NULL, .interval = RULE_NULL, .probability = RULE_NULL, .level = RULE_NULL};
    if (!demand_history_of(&asked->series, asked->alpha, asked->beta, &history, fault))
        return false;
    const bool chosen = asked->method == FORECAST_AUTO;
    const enum forecast_method method = chosen ? demand_history_choose(&history, asked->phased_out) : asked->method;
    answer->said.method = forecast_method_words[method];
    answer->forecast_per_period = demand_history_forecast(&history, method, &asked->prior);
    if (rule_is_null(answer->forecast_per_period)) {
        say_unknown(&history, method, arena, answer);
        return true;
    }
    if (!isfinite(answer->forecast_per_period))
        return rule_fault_set(fault, RULE_RANGE, "prior_a",
                              "'prior_a' is too large to be computed with: give what is expected of a few periods");
    copy_state(&history, method, answer);
    answer->said.sentence = rule_text(arena, "Expect %s a period (%s%s, from %zu periods, %zu with demand).",
                                      rule_number(arena, answer->forecast_per_period), answer->said.method,
                                      chosen ? ", chosen for this history" : "", history.periods, history.nonzero);
    return true;
}
