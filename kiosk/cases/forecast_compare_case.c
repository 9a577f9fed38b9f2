#include "kiosk/rules/forecast_compare.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

#define MOST_PERIODS ((int64_t)1 << 53)

static bool read_case(const json_t *object, struct arena *arena, struct forecast_compare_case *asked,
                      struct rule_fault *fault)
{
    static const char *const keys[] = {"demand", "lead_periods", "first_origin", "measure", "alpha",
                                       "beta",   "prior_a",      "prior_b",      NULL};
    static const char *const measures[] = {"squared", "absolute", NULL};
    static const struct case_range smoothing = {0, 1, true, false};
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked->series.demand = case_demand(&in, "demand", true, &asked->series.count, NULL);
    asked->lead_periods = (size_t)case_count_or(&in, "lead_periods", 1, MOST_PERIODS, 1);
    asked->first_origin = case_has(&in, "first_origin") ? (size_t)case_count(&in, "first_origin", 1, MOST_PERIODS) : 0;
    asked->absolute = case_word_or(&in, "measure", measures, 0) == 1;
    asked->alpha = case_number_or(&in, "alpha", smoothing, 0.1);
    asked->beta = case_number_or(&in, "beta", smoothing, asked->alpha);
    asked->prior.a = case_number_or(&in, "prior_a", CASE_POSITIVE, 1);
    asked->prior.b = case_number_or(&in, "prior_b", CASE_POSITIVE, 1);
    return case_good(&in);
}

static void put_errors(json_t *item, const char *absolute, const char *squared, const char *mase,
                       const struct forecast_errors *errors)
{
    case_put_number(item, absolute, errors->absolute);
    case_put_number(item, squared, errors->squared);
    case_put_number(item, mase, errors->mase);
}

static void put_comparison(json_t *out, const struct forecast_compare_answer *answer)
{
    json_t *list = case_put_list(out, "methods");
    case_put_number(out, "scale_one_step", answer->one_step_scale);
    case_put_number(out, "scale_over_lead", answer->lead_scale);
    for (size_t i = 0; i < FORECAST_COMPARED; i++) {
        const struct forecast_trial *trial = &answer->trials[i];
        json_t *item = case_put_item(list);
        case_put_text(item, "method", forecast_method_words[trial->method]);
        put_errors(item, "absolute_one_step", "squared_one_step", "mase_one_step", &trial->one_step);
        put_errors(item, "absolute_over_lead", "squared_over_lead", "mase_over_lead", &trial->over_lead);
    }
    case_put_text(out, "best", forecast_method_words[answer->best]);
    case_put_number(out, "gain_on_last", answer->gain_on_last);
    case_put_number(out, "gain_on_mean", answer->gain_on_mean);
}

static void put_nothing(json_t *out)
{
    static const char *const keys[] = {"methods", "scale_one_step", "scale_over_lead",
                                       "best",    "gain_on_last",   "gain_on_mean"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        case_put_null(out, keys[i]);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    struct forecast_compare_case asked = {0};
    struct forecast_compare_answer answer;
    if (!read_case(object, arena, &asked, fault) || !forecast_compare(&asked, arena, &answer, fault))
        return false;
    case_put_count(out, "periods", (int64_t)answer.periods);
    case_put_count(out, "first_origin", (int64_t)answer.first_origin);
    case_put_count(out, "tests_one_step", (int64_t)answer.one_step_tests);
    case_put_count(out, "tests_over_lead", (int64_t)answer.lead_tests);
    if (answer.known)
        put_comparison(out, &answer);
    else
        put_nothing(out);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case forecast_compare_rule = {"forecast-compare", compute};
