#include "kiosk/rules/demand_forecast.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"demand", "method", "alpha", "beta", "phased_out", "prior_a", "prior_b", NULL};
    static const struct case_range smoothing = {0, 1, true, false};
    const char *words[FORECAST_LAST + 1] = {NULL}; /* the naive ones are for comparing only */
    struct demand_forecast_case asked = {0};
    struct demand_forecast_answer answer;
    struct case_in in;
    for (int i = 0; i < FORECAST_LAST; i++)
        words[i] = forecast_method_words[i];
    case_open(&in, object, "", keys, arena, fault);
    asked.series.demand = case_demand(&in, "demand", true, &asked.series.count, NULL);
    asked.method = (enum forecast_method)case_word_or(&in, "method", words, FORECAST_AUTO);
    asked.alpha = case_number_or(&in, "alpha", smoothing, 0.1);
    asked.beta = case_number_or(&in, "beta", smoothing, asked.alpha);
    asked.phased_out = case_flag_or(&in, "phased_out", false);
    asked.prior.a = case_number_or(&in, "prior_a", CASE_POSITIVE, 1);
    asked.prior.b = case_number_or(&in, "prior_b", CASE_POSITIVE, 1);
    if (!case_good(&in) || !demand_forecast(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "forecast_per_period", answer.forecast_per_period);
    case_put_number(out, "size", answer.size);
    case_put_number(out, "interval", answer.interval);
    case_put_number(out, "probability", answer.probability);
    case_put_number(out, "level", answer.level);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case demand_forecast_rule = {"demand-forecast", compute};
