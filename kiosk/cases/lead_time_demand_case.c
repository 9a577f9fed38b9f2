#include "kiosk/rules/lead_time_demand.h"

#include <math.h>
#include <stdio.h>

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

/* Before the nulls are taken out, for the key's number is that of the list as it was given. */
static void want_whole_demand(struct case_in *in)
{
    size_t count = 0;
    const json_t *list = case_list_or(in, "demand", &count);
    for (size_t i = 0; case_good(in) && i < count; i++) {
        const double demand = json_number_value(json_array_get(list, i));
        char key[40];
        (void)snprintf(key, sizeof key, "demand.%zu", i);
        if (demand != floor(demand))
            case_fail(in, RULE_TYPE, key, "'%s' is %g, but a bootstrap counts pieces: give whole numbers", key, demand);
    }
}

/* The history, or its moments. */
static void read_history(struct case_in *in, struct lead_time_demand_case *asked)
{
    const bool mean = case_has(in, "mean_per_period"), variance = case_has(in, "variance_per_period");
    asked->from_moments = mean || variance;
    if (case_has(in, "demand") && asked->from_moments) {
        case_fail(in, RULE_CONFLICT, mean ? "mean_per_period" : "variance_per_period",
                  "'demand' and a mean or variance per period are both there: give one or the other");
        return;
    }
    if (asked->from_moments) {
        const bool spread = variance || asked->method == LEAD_TIME_NEGATIVE_BINOMIAL;
        asked->mean_per_period = case_number(in, "mean_per_period", CASE_NOT_NEGATIVE);
        asked->variance_per_period = spread ? case_number(in, "variance_per_period", CASE_NOT_NEGATIVE) : 0;
        return;
    }
    if (asked->method == LEAD_TIME_MARKOV_BOOTSTRAP || asked->method == LEAD_TIME_IID_BOOTSTRAP)
        want_whole_demand(in);
    asked->series.demand = case_demand(in, "demand", true, &asked->series.count, NULL);
}

static bool read_case(const json_t *object, struct arena *arena, struct lead_time_demand_case *asked,
                      struct rule_fault *fault)
{
    static const char *const keys[] = {"method",       "demand",        "mean_per_period", "variance_per_period",
                                       "lead_periods", "lead_variance", "quantiles",       "smoothing",
                                       "jitter",       "prior_a",       "prior_b",         NULL};
    static const char *const smoothings[] = {"none", "half", NULL};
    static const double usual[] = {0.9, 0.95, 0.99};
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked->method =
        (enum lead_time_method)case_word_or(&in, "method", lead_time_method_words, LEAD_TIME_NEGATIVE_BINOMIAL);
    read_history(&in, asked);
    asked->lead_periods = case_number(&in, "lead_periods", CASE_POSITIVE);
    asked->lead_variance = case_number_or(&in, "lead_variance", CASE_NOT_NEGATIVE, 0);
    asked->quantiles = case_numbers(&in, "quantiles", CASE_INSIDE, false, &asked->quantile_count);
    if (!asked->quantiles) {
        asked->quantiles = usual;
        asked->quantile_count = sizeof usual / sizeof *usual;
    }
    asked->half = case_word_or(&in, "smoothing", smoothings, 0) == 1;
    asked->jitter = case_flag_or(&in, "jitter", false);
    asked->prior.a = case_number_or(&in, "prior_a", CASE_POSITIVE, 1);
    asked->prior.b = case_number_or(&in, "prior_b", CASE_POSITIVE, 1);
    return case_good(&in);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    struct lead_time_demand_case asked = {0};
    struct lead_time_demand_answer answer;
    if (!read_case(object, arena, &asked, fault) || !lead_time_demand(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "mean", answer.mean);
    case_put_number(out, "variance", answer.variance);
    case_put_number(out, "r", answer.r);
    case_put_number(out, "p", answer.p);
    case_put_pmf(out, "pmf", &answer.pmf);
    if (answer.quantiles) {
        json_t *list = case_put_list(out, "quantiles");
        for (size_t i = 0; i < asked.quantile_count; i++)
            (void)json_array_append_new(list, json_integer((json_int_t)answer.quantiles[i]));
    } else {
        case_put_null(out, "quantiles");
    }
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case lead_time_demand_rule = {"lead-time-demand", compute};
