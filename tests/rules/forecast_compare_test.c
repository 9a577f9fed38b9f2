#include "kiosk/rules/forecast_compare.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Errors recoded in Python stand in fixtures/compute/forecast-compare.json. Here: what must hold for any series. */

enum { MOST = 50, SERIES = 200, ROOM = 65536 };

static struct forecast_compare_answer ask(const double *demand, size_t count, size_t lead, bool absolute)
{
    static unsigned char memory[ROOM];
    const struct forecast_compare_case asked = {{demand, count}, lead, 0, absolute, 0.1, 0.1, {1, 1}};
    struct forecast_compare_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    if (!forecast_compare(&asked, &arena, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

static void make_series(uint64_t *random, double *demand)
{
    for (size_t i = 0; i < MOST; i++)
        demand[i] = i == 2 || i == 5 || random_below(random, 3) == 0 ? 1 + random_below(random, 9) : 0;
}

static bool is_close(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(1, fabs(b));
}

/* Each forecast again from the whole history before its origin: the pass over the series must not have peeked. */
static void errors_are_those_of_forecasts_made_afresh(void **state)
{
    const struct forecast_prior prior = {1, 1};
    uint64_t random = 51;
    double demand[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        const size_t lead = 1 + (size_t)random_below(&random, 6);
        make_series(&random, demand);
        const struct forecast_compare_answer answer = ask(demand, MOST, lead, false);
        assert_int_equal(answer.first_origin, MOST / 2);
        for (size_t k = 0; k < FORECAST_COMPARED; k++) {
            double absolute = 0, squared = 0;
            for (size_t origin = MOST / 2; origin + lead <= MOST; origin++) {
                struct demand_history history;
                struct rule_fault fault = {0};
                double error = 0;
                assert_true(demand_history_of(&(struct demand_series){demand, origin}, 0.1, 0.1, &history, &fault));
                for (size_t ahead = 0; ahead < lead; ahead++)
                    error += demand_history_forecast(&history, forecast_compared[k], &prior) - demand[origin + ahead];
                absolute += fabs(error);
                squared += error * error;
            }
            assert_true(is_close(answer.trials[k].over_lead.absolute, absolute / (double)answer.lead_tests));
            assert_true(is_close(answer.trials[k].over_lead.squared, squared / (double)answer.lead_tests));
        }
    }
}

/* Of one period the two kinds of error are the same; the smallest is the best, and no later one is equal and better. */
static void best_is_the_smallest_and_the_first_of_equals(void **state)
{
    uint64_t random = 52;
    double demand[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        make_series(&random, demand);
        const bool by_absolute = i % 2;
        const struct forecast_compare_answer answer = ask(demand, MOST, 1, by_absolute);
        double errors[FORECAST_COMPARED];
        size_t best = 0;
        for (size_t k = 0; k < FORECAST_COMPARED; k++) {
            const struct forecast_trial *trial = &answer.trials[k];
            assert_true(is_close(trial->one_step.squared, trial->over_lead.squared));
            assert_true(is_close(trial->one_step.mase, trial->over_lead.mase));
            errors[k] = by_absolute ? trial->over_lead.absolute : trial->over_lead.squared;
            if (errors[k] < errors[best] - 1e-9 * fmax(1, errors[best]))
                best = k;
        }
        assert_int_equal(answer.best, forecast_compared[best]);
        assert_true(is_close(answer.gain_on_last, 1 - errors[best] / errors[0]));
        assert_true(is_close(answer.gain_on_mean, 1 - errors[best] / errors[1]));
    }
}

/* MASE has no unit: Hyndman and Koehler 2006 made it for that. Gamma-Poisson's prior has one. */
static void mase_does_not_know_the_unit(void **state)
{
    uint64_t random = 53;
    double demand[MOST], grams[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        make_series(&random, demand);
        for (size_t k = 0; k < MOST; k++)
            grams[k] = 1000 * demand[k];
        const struct forecast_compare_answer one = ask(demand, MOST, 3, false), other = ask(grams, MOST, 3, false);
        for (size_t k = 0; k < FORECAST_COMPARED; k++)
            if (forecast_compared[k] != FORECAST_GAMMA_POISSON) {
                assert_true(is_close(one.trials[k].one_step.mase, other.trials[k].one_step.mase));
                assert_true(is_close(one.trials[k].over_lead.mase, other.trials[k].over_lead.mase));
            }
    }
}

/* Of a slow item the last value is mostly 0. By absolute errors that is hard to beat, by squared ones easy: why squared
 * ones are the rule. */
static void absolute_errors_reward_a_forecast_of_nothing(void **state)
{
    double demand[MOST] = {0};
    (void)state;
    for (size_t i = 3; i < MOST; i += 7)
        demand[i] = 1;
    assert_int_equal(ask(demand, MOST, 1, false).best, FORECAST_MEAN);
    const struct forecast_compare_answer answer = ask(demand, MOST, 1, true);
    assert_true(answer.trials[0].one_step.squared > 1.5 * answer.trials[1].one_step.squared);
    assert_true(answer.trials[0].one_step.absolute < 1.3 * answer.trials[1].one_step.absolute);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(errors_are_those_of_forecasts_made_afresh),
        cmocka_unit_test(best_is_the_smallest_and_the_first_of_equals),
        cmocka_unit_test(mase_does_not_know_the_unit),
        cmocka_unit_test(absolute_errors_reward_a_forecast_of_nothing),
    };
    return cmocka_run_group_tests_name("rules/forecast_compare", tests, NULL, NULL);
}
