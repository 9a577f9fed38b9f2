#include "kiosk/rules/forecast_compare.h"

#include <assert.h>
#include <math.h>

const enum forecast_method forecast_compared[FORECAST_COMPARED] = {
    FORECAST_LAST, FORECAST_MEAN, FORECAST_SES,           FORECAST_CROSTON, FORECAST_SBA,
    FORECAST_SBJ,  FORECAST_TSB,  FORECAST_GAMMA_POISSON, FORECAST_AUTO};

/* sums[k]: demand of the first k periods. */
static double *make_sums(const struct demand_series *series, struct arena *arena)
{
    double *sums = arena_take(arena, series->count + 1, sizeof *sums);
    for (size_t i = 0; sums && i < series->count; i++)
        sums[i + 1] = sums[i] + series->demand[i];
    return sums;
}

/* Mean absolute error of the last value over `periods` periods, at all origins that end by `known`. */
static double scale_of(const struct demand_series *series, const double *sums, size_t known, size_t periods)
{
    double error = 0;
    if (known <= periods)
        return RULE_NULL;
    for (size_t origin = 1; origin + periods <= known; origin++)
        error += fabs((double)periods * series->demand[origin - 1] - (sums[origin + periods] - sums[origin]));
    return error > 0 ? error / (double)(known - periods) : RULE_NULL;
}

static void add_error(struct forecast_errors *errors, double error)
{
    errors->absolute += fabs(error);
    errors->squared += error * error;
}

static void roll(const struct forecast_compare_case *asked, const double *sums, struct forecast_compare_answer *answer)
{
    const struct demand_series *series = &asked->series;
    struct demand_history history;
    demand_history_start(&history, asked->alpha, asked->beta);
    for (size_t origin = 1; origin < series->count; origin++) {
        demand_history_see(&history, series->demand[origin - 1]);
        for (size_t i = 0; origin >= answer->first_origin && i < FORECAST_COMPARED; i++) {
            struct forecast_trial *trial = &answer->trials[i];
            const double forecast = demand_history_forecast(&history, trial->method, &asked->prior);
            if (origin == answer->first_origin)
                trial->known = !rule_is_null(forecast);
            add_error(&trial->one_step, forecast - series->demand[origin]);
            if (series->count - origin >= asked->lead_periods)
                add_error(&trial->over_lead,
                          (double)asked->lead_periods * forecast - (sums[origin + asked->lead_periods] - sums[origin]));
        }
    }
}

static void finish(struct forecast_errors *errors, bool known, size_t tests, double scale)
{
    if (!known) {
        *errors = (struct forecast_errors){RULE_NULL, RULE_NULL, RULE_NULL};
        return;
    }
    errors->absolute /= (double)tests;
    errors->squared /= (double)tests;
    errors->mase = errors->absolute / scale; /* a null scale makes it null */
}

/* --- which is best --- */

static double error_of(const struct forecast_compare_case *asked, const struct forecast_trial *trial)
{
    return asked->absolute ? trial->over_lead.absolute : trial->over_lead.squared;
}

/* How much of a naive forecast's error is saved. An error of 0 leaves nothing to save. */
static double gain_on(const struct forecast_compare_case *asked, const struct forecast_compare_answer *answer,
                      enum forecast_method naive, double best)
{
    for (size_t i = 0; i < FORECAST_COMPARED; i++)
        if (answer->trials[i].method == naive && error_of(asked, &answer->trials[i]) > 0)
            return fmax(0, 1 - best / error_of(asked, &answer->trials[i]));
    return 0;
}

static void say_best(const struct forecast_compare_case *asked, double error, struct arena *arena,
                     struct forecast_compare_answer *answer)
{
    const bool naive = answer->best == FORECAST_LAST || answer->best == FORECAST_MEAN;
    const char *over = rule_text(arena, "Over %zu period%s", asked->lead_periods, asked->lead_periods == 1 ? "" : "s");
    const char *how = rule_text(arena, "%s error %s, %zu tests", asked->absolute ? "absolute" : "squared",
                                rule_number(arena, error), answer->lead_tests);
    answer->said.sentence =
        naive ? rule_text(arena, "%s no method did better than the %s (%s).", over,
                          answer->best == FORECAST_LAST ? "last value" : "mean", how)
              : rule_text(arena, "%s %s did best (%s): %.0f %% less than the last value, %.0f %% less than the mean.",
                          over, forecast_method_words[answer->best], how, 100 * answer->gain_on_last,
                          100 * answer->gain_on_mean);
}

static void choose(const struct forecast_compare_case *asked, struct arena *arena,
                   struct forecast_compare_answer *answer)
{
    double best = INFINITY;
    const char *missing = "";
    for (size_t i = 0; i < FORECAST_COMPARED; i++) {
        const struct forecast_trial *trial = &answer->trials[i];
        if (!trial->known)
            missing = rule_text(arena, "%s%s%s", missing, missing[0] ? ", " : "", forecast_method_words[trial->method]);
        else if (best == INFINITY || error_of(asked, trial) < best - RULE_SLACK * fmax(1, best)) {
            best = error_of(asked, trial);
            answer->best = trial->method;
        }
    }
    answer->gain_on_last = gain_on(asked, answer, FORECAST_LAST, best);
    answer->gain_on_mean = gain_on(asked, answer, FORECAST_MEAN, best);
    if (missing[0])
        rule_set_unknown(&answer->said, "methods",
                         rule_text(arena, "too little demand before the first origin for %s: start later", missing));
    say_best(asked, best, arena, answer);
}

/* --- */

static void say_too_short(const struct forecast_compare_case *asked, struct arena *arena,
                          struct forecast_compare_answer *answer)
{
    const char *why =
        rule_text(arena, "from period %zu on, %zu forecasts over %zu period%s can be tested and it takes %d: wait",
                  answer->first_origin, answer->lead_tests, asked->lead_periods, asked->lead_periods == 1 ? "" : "s",
                  FORECAST_LEAST_TESTS);
    rule_set_unknown(&answer->said, "best", why);
    answer->said.sentence = rule_text(arena, "Which forecast is best is not known: %s.", why);
}

static bool is_finite(const struct forecast_compare_answer *answer)
{
    for (size_t i = 0; i < FORECAST_COMPARED; i++)
        if (answer->trials[i].known &&
            !(isfinite(answer->trials[i].one_step.squared) && isfinite(answer->trials[i].over_lead.squared)))
            return false;
    return true;
}

static void say_scales(struct forecast_compare_answer *answer)
{
    static const char why[] = "the last value made no error before the first origin: start later";
    if (rule_is_null(answer->one_step_scale))
        rule_set_unknown(&answer->said, "scale_one_step", why);
    if (rule_is_null(answer->lead_scale))
        rule_set_unknown(&answer->said, "scale_over_lead", why);
}

static bool compare(const struct forecast_compare_case *asked, struct arena *arena,
                    struct forecast_compare_answer *answer, struct rule_fault *fault)
{
    const double *sums = make_sums(&asked->series, arena);
    if (!sums)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < FORECAST_COMPARED; i++)
        answer->trials[i].method = forecast_compared[i];
    roll(asked, sums, answer);
    answer->one_step_scale = scale_of(&asked->series, sums, answer->first_origin, 1);
    answer->lead_scale = scale_of(&asked->series, sums, answer->first_origin, asked->lead_periods);
    for (size_t i = 0; i < FORECAST_COMPARED; i++) {
        struct forecast_trial *trial = &answer->trials[i];
        finish(&trial->one_step, trial->known, answer->one_step_tests, answer->one_step_scale);
        finish(&trial->over_lead, trial->known, answer->lead_tests, answer->lead_scale);
    }
    if (!is_finite(answer))
        return rule_fault_set(fault, RULE_RANGE, "",
                              "the numbers are too large to be computed with: use a larger unit");
    say_scales(answer);
    choose(asked, arena, answer);
    return true;
}

bool forecast_compare(const struct forecast_compare_case *asked, struct arena *arena,
                      struct forecast_compare_answer *answer, struct rule_fault *fault)
{
    const size_t count = asked->series.count, half = (count + 1) / 2;
    assert(asked->lead_periods >= 1);
    *answer = (struct forecast_compare_answer){
        .said = {.method = asked->absolute ? "rolling origin, mean absolute error over the lead time"
                                           : "rolling origin, mean squared error over the lead time"},
        .periods = count,
        .first_origin = asked->first_origin > 0  ? asked->first_origin
                        : half > DEMAND_NEW_ITEM ? half
                                                 : DEMAND_NEW_ITEM};
    const size_t after = count > answer->first_origin ? count - answer->first_origin : 0;
    answer->one_step_tests = after;
    answer->lead_tests = after >= asked->lead_periods ? after - asked->lead_periods + 1 : 0;
    answer->known = answer->lead_tests >= FORECAST_LEAST_TESTS;
    if (answer->known)
        return compare(asked, arena, answer, fault);
    say_too_short(asked, arena, answer);
    return true;
}
