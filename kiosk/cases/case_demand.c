#include "kiosk/cases/case_demand.h"

#include <math.h>

struct pmf case_pmf(struct case_in *in, const char *key)
{
    struct pmf pmf = {0};
    double sum = 0;
    pmf.p = case_numbers(in, key, CASE_NOT_NEGATIVE, true, &pmf.count);
    if (!in->object)
        return (struct pmf){0};
    for (size_t i = 0; i < pmf.count; i++)
        sum += pmf.p[i];
    if (pmf.count == 0 || fabs(sum - 1) > RULE_SLACK) {
        case_fail(in, RULE_RANGE, key, "the probabilities of '%s%s' sum to %.12g, but must sum to 1", in->path, key,
                  sum);
        return (struct pmf){0};
    }
    return pmf;
}

double *case_demand(struct case_in *in, const char *key, bool required, size_t *count, size_t *periods)
{
    size_t all = 0;
    const json_t *list = required ? case_list(in, key, &all) : case_list_or(in, key, &all);
    double *demand = list ? case_room(in, all, sizeof *demand) : NULL;
    *count = 0;
    for (size_t i = 0; demand && i < all; i++)
        if (!json_is_null(json_array_get(list, i))) /* a period without stock says nothing of demand */
            demand[(*count)++] = case_number_at(in, key, list, i, CASE_NOT_NEGATIVE);
    if (periods)
        *periods = all;
    return demand;
}

struct demand_model case_model_or(struct case_in *in, const char *key, bool normal_too)
{
    static const char *const words[] = {"poisson", "negative-binomial", "pmf", "normal", NULL};
    static const char *const words_without_normal[] = {"poisson", "negative-binomial", "pmf", NULL};
    static const enum demand_kind kinds[] = {DEMAND_POISSON, DEMAND_NEGATIVE_BINOMIAL, DEMAND_PMF, DEMAND_NORMAL};
    static const char *const any[] = {"kind", "mean", "variance", "pmf", "sd", NULL};
    static const char *const keys[][4] = {
        {"kind", "mean"}, {"kind", "mean", "variance"}, {"kind", "pmf"}, {"kind", "mean", "sd"}};
    struct demand_model model = {DEMAND_NONE};
    struct case_in inner;
    if (!case_has(in, key))
        return model;
    case_open_under(&inner, in, key, any);
    const int word = case_word(&inner, "kind", normal_too ? words : words_without_normal);
    if (case_good(in))
        case_open_under(&inner, in, key, keys[word]);
    model.kind = kinds[word];
    if (model.kind == DEMAND_PMF)
        model.pmf = case_pmf(&inner, "pmf");
    else
        model.mean = case_number(&inner, "mean", CASE_NOT_NEGATIVE);
    if (model.kind == DEMAND_POISSON)
        model.variance = model.mean;
    if (model.kind == DEMAND_NEGATIVE_BINOMIAL)
        model.variance = case_number(&inner, "variance", CASE_NOT_NEGATIVE);
    if (model.kind == DEMAND_NORMAL) {
        const double sd = case_number(&inner, "sd", CASE_POSITIVE);
        model.variance = sd * sd;
    }
    if (!case_good(in))
        in->object = NULL;
    return model;
}
