#include "kiosk/rules/demand_forecast.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Published and run values stand in fixtures/compute/demand-forecast.json. Here the recursions are held against the
 * weighted sums they come to, and what must hold for any series is tried. */

enum { MOST = 60, SERIES = 500 };
static const struct forecast_prior PRIOR = {1, 1};

static bool is_close(double a, double b)
{
    return fabs(a - b) <= 1e-12 * fmax(1, fabs(b));
}

static void make_series(uint64_t *random, double *demand, size_t count)
{
    for (size_t i = 0; i < count; i++)
        demand[i] = random_below(random, 3) == 0 ? 1 + random_below(random, 20) : 0;
}

static void see_all(const double *demand, size_t count, double alpha, double beta, struct demand_history *history)
{
    struct rule_fault fault = {0};
    assert_true(demand_history_of(&(struct demand_series){demand, count}, alpha, beta, history, &fault));
}

/* An invented series, alpha .1: size, interval and forecast after each demand (R forecast 8.20). */
static void croston_after_each_demand(void **state)
{
    static const double demand[] = {0, 0, 2, 0, 0, 0, 1, 0, 3, 0, 0, 0, 0, 2, 0, 0, 1, 0, 0, 0, 0, 4, 0, 0};
    static const struct {
        size_t period;
        double size, interval, forecast;
    } steps[] = {
        {3, 2, 3, 0.666666667},          {7, 1.9, 3.1, 0.612903226},       {9, 2.01, 2.99, 0.672240803},
        {14, 2.009, 3.191, 0.629583203}, {17, 1.9081, 3.1719, .601563732}, {22, 2.11729, 3.35471, .631139502},
    };
    struct demand_history history;
    size_t step = 0;
    (void)state;
    demand_history_start(&history, 0.1, 0.1);
    for (size_t i = 0; i < sizeof demand / sizeof *demand; i++) {
        demand_history_see(&history, demand[i]);
        step += step + 1 < sizeof steps / sizeof *steps && steps[step + 1].period == i + 1;
        if (i + 1 < steps[0].period)
            continue;
        assert_true(fabs(history.size - steps[step].size) < 1e-9);
        assert_true(fabs(history.interval - steps[step].interval) < 1e-9);
        assert_true(fabs(history.size / history.interval - steps[step].forecast) < 1e-9);
    }
    assert_int_equal(step, 5);
}

/* A smoothed value is the first one times (1 - a)^(n-1) and every later one times a (1 - a)^(those after it). */
static double weighted(const double *values, size_t count, double smoothing)
{
    double sum = pow(1 - smoothing, (double)count - 1) * values[0];
    for (size_t i = 1; i < count; i++)
        sum += smoothing * pow(1 - smoothing, (double)(count - 1 - i)) * values[i];
    return sum;
}

static void recursions_are_weighted_sums(void **state)
{
    uint64_t random = 21;
    double demand[MOST], sizes[MOST], gaps[MOST], chances[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        const double alpha = 0.05 + 0.9 * random_below(&random, 100) / 100, beta = 1.05 - alpha;
        const size_t count = 3 + (size_t)random_below(&random, MOST - 3);
        size_t nonzero = 0, chance_count = 0, latest = 0;
        struct demand_history history;
        make_series(&random, demand, count);
        for (size_t k = 0; k < count; k++) {
            if (nonzero > 0)
                chances[chance_count++] = demand[k] > 0;
            else if (demand[k] > 0)
                chances[chance_count++] = 1 / (double)(k + 1);
            if (demand[k] > 0) {
                sizes[nonzero] = demand[k];
                gaps[nonzero++] = (double)(k + 1 - latest);
                latest = k + 1;
            }
        }
        see_all(demand, count, alpha, beta, &history);
        assert_true(is_close(history.level, weighted(demand, count, alpha)));
        if (nonzero == 0)
            continue;
        assert_true(is_close(history.size, weighted(sizes, nonzero, alpha)));
        assert_true(is_close(history.interval, weighted(gaps, nonzero, beta)));
        assert_true(is_close(history.probability, weighted(chances, chance_count, beta)));
    }
}

/* Plain algebra: twice the demand is twice the forecast (of a prior twice as large too); a demand of the same size in
 * every period is the forecast, but for the factors of SBA and SBJ. */
static void forecasts_follow_the_unit_and_a_steady_demand(void **state)
{
    static const double same[] = {7, 7, 7, 7, 7, 7, 7, 7};
    const struct forecast_prior twice = {2, 1};
    uint64_t random = 22;
    double demand[MOST], doubled[MOST];
    struct demand_history one, two;
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        make_series(&random, demand, MOST);
        demand[3] = demand[40] = 2;
        for (size_t k = 0; k < MOST; k++)
            doubled[k] = 2 * demand[k];
        see_all(demand, MOST, 0.1, 0.2, &one);
        see_all(doubled, MOST, 0.1, 0.2, &two);
        for (int method = 0; method < FORECAST_METHODS; method++)
            assert_true(is_close(demand_history_forecast(&two, (enum forecast_method)method, &twice),
                                 2 * demand_history_forecast(&one, (enum forecast_method)method, &PRIOR)));
    }
    see_all(same, 8, 0.1, 0.1, &one);
    for (int method = FORECAST_SES; method < FORECAST_METHODS; method++) {
        const double factor = method == FORECAST_SBA ? 0.95 : method == FORECAST_SBJ ? 1 - 0.1 / 1.9 : 1;
        const struct forecast_prior right = {7, 1};
        assert_true(is_close(demand_history_forecast(&one, (enum forecast_method)method, &right), 7 * factor));
    }
}

/* While nothing is taken TSB falls and Croston stands still: Teunter, Syntetos and Babai 2011 made theirs for that. */
static void only_tsb_learns_from_silence(void **state)
{
    static const double demand[] = {0, 4, 0, 2, 3};
    struct demand_history history;
    (void)state;
    see_all(demand, 5, 0.1, 0.1, &history);
    const double croston = demand_history_forecast(&history, FORECAST_CROSTON, &PRIOR);
    double tsb = demand_history_forecast(&history, FORECAST_TSB, &PRIOR);
    for (int i = 0; i < 50; i++) {
        demand_history_see(&history, 0);
        const double now = demand_history_forecast(&history, FORECAST_TSB, &PRIOR);
        assert_true(is_close(now, 0.9 * tsb));
        tsb = now;
    }
    assert_true(demand_history_forecast(&history, FORECAST_CROSTON, &PRIOR) == croston);
}

/* Desk and pages read the reason: what is needed, what there is. */
static void what_is_missing_is_said(void **state)
{
    static const double demand[] = {0, 3, 0};
    static unsigned char memory[4096];
    const struct demand_forecast_case asked = {{demand, 3}, FORECAST_SBA, 0.1, 0.1, false, {1, 1}};
    struct demand_forecast_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_true(demand_forecast(&asked, &arena, &answer, &fault));
    assert_true(rule_is_null(answer.forecast_per_period));
    assert_string_equal(answer.said.unknown[0].why,
                        "sba needs 2 periods with demand and there is 1: wait, or take another method");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(croston_after_each_demand),
        cmocka_unit_test(recursions_are_weighted_sums),
        cmocka_unit_test(forecasts_follow_the_unit_and_a_steady_demand),
        cmocka_unit_test(only_tsb_learns_from_silence),
        cmocka_unit_test(what_is_missing_is_said),
    };
    return cmocka_run_group_tests_name("rules/demand_forecast", tests, NULL, NULL);
}
