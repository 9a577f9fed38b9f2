#include "kiosk/rules/fefo_waste_random.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "tests/reading/random.h"
#include "tests/rules/arena_room.h"
#include "tests/rules/fefo_by_day.h"

enum { LOTS = 4, PERIODS = 5, CELLS = 3 };
static char ids[LOTS][2] = {"a", "b", "c", "d"};
static bool try_it(const struct fefo_waste_random_case *asked, struct fefo_waste_random_answer *answer,
                   struct rule_fault *fault)
{
    struct arena arena;
    memset(fault, 0, sizeof *fault);
    arena_room_begin(&arena);
    return fefo_waste_random(asked, &arena, answer, fault);
}

static struct fefo_waste_random_answer ask(const struct fefo_lot *lots, size_t count, struct demand_model model,
                                           double grid)
{
    struct fefo_waste_random_answer answer;
    struct rule_fault fault;
    if (!try_it(&(struct fefo_waste_random_case){lots, count, grid, model}, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

static struct demand_model poisson(double mean)
{
    return (struct demand_model){.kind = DEMAND_POISSON, .mean = mean, .variance = mean};
}

static size_t deal(uint64_t *seed, struct fefo_lot *lots)
{
    const size_t count = (size_t)random_below(seed, LOTS + 1);
    for (size_t i = 0; i < count; i++)
        lots[i] = (struct fefo_lot){.id = ids[i],
                                    .quantity = random_below(seed, 5),
                                    .expires = random_below(seed, PERIODS + 2) - 1,
                                    .opened = random_below(seed, 2) == 1,
                                    .received = RULE_NO_DAY};
    return count;
}

/* Brute force: each of the 3^5 ways demand can go is played period by period and weighed with its probability. */
static void is_the_mean_of_all_that_can_happen(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 60; round++) {
        struct fefo_lot lots[LOTS];
        double p[CELLS], waste[LOTS] = {0}, p_waste[LOTS] = {0};
        const size_t count = deal(&seed, lots);
        p[0] = random_below(&seed, 100) / 200.0;
        p[1] = random_below(&seed, 100) / 200.0;
        p[2] = 1 - p[0] - p[1];
        for (int way = 0; way < 243; way++) {
            double demand[PERIODS], weight = 1;
            struct fefo_by_day end;
            for (int period = 0, rest = way; period < PERIODS; period++, rest /= CELLS) {
                demand[period] = rest % CELLS;
                weight *= p[rest % CELLS];
            }
            fefo_by_day(lots, count, demand, PERIODS, &end);
            for (size_t i = 0; i < count; i++) {
                waste[i] += weight * end.left[i];
                p_waste[i] += end.left[i] > 0 ? weight : 0;
            }
        }
        const struct demand_model model = {.kind = DEMAND_PMF, .pmf = {p, CELLS}};
        const struct fefo_waste_random_answer answer = ask(lots, count, model, 1);
        for (size_t i = 0; i < count; i++) {
            assert_true(fabs(answer.expected_waste[i] - waste[answer.lots[i].place]) < 1e-11);
            assert_true(fabs(answer.p_waste[i] - p_waste[answer.lots[i].place]) < 1e-11);
        }
    }
}

/* E[(q - D)+] of a Poisson is q F(q) - m F(q - 1); F by GSL's gamma functions. */
static void one_lot_is_the_closed_form(void **state)
{
    (void)state;
    for (unsigned q = 1; q < 200; q += 7)
        for (int step = 0; step < 13; step++) {
            const double mean = 0.5 * pow(1.7, step);
            const struct fefo_lot lot = {.id = "a", .quantity = q, .expires = 4, .received = RULE_NO_DAY};
            const struct fefo_waste_random_answer answer = ask(&lot, 1, poisson(mean / 4), 1);
            const double wanted = q * gsl_cdf_poisson_P(q, mean) - mean * gsl_cdf_poisson_P(q - 1, mean);
            assert_true(fabs(answer.total_expected_waste - wanted) < 1e-8 * (1 + wanted));
            assert_true(fabs(answer.p_waste[0] - gsl_cdf_poisson_P(q - 1, mean)) < 1e-9);
        }
}

/* Theory: W of the last lot is the largest of 0 and A - D, so its mean is no less than the mean of any; more demand
 * wastes no more. */
static void keeps_its_bounds(void **state)
{
    uint64_t seed = 2;
    (void)state;
    for (int round = 0; round < 300; round++) {
        struct fefo_lot lots[LOTS];
        const size_t count = deal(&seed, lots);
        double last = INFINITY;
        for (int step = 0; step < 10; step++) {
            const double mean = 0.1 * pow(1.5, step);
            const struct fefo_waste_random_answer answer = ask(lots, count, poisson(mean), 1);
            const double total = answer.total_expected_waste;
            double stock = 0;
            for (size_t i = 0; i < count; i++) {
                stock += answer.lots[i].quantity;
                const double demand = mean * fmax(0, answer.lots[i].expires);
                assert_true(total >= stock - demand - 1e-9); /* E[(A - D)+] >= A - E[D] */
                assert_true(answer.expected_waste[i] <= answer.lots[i].quantity + 1e-9);
                assert_true(answer.p_waste[i] >= 0 && answer.p_waste[i] <= 1);
            }
            assert_true(total <= last + 1e-9);
            last = total;
        }
    }
}

static void neither_order_nor_cut_nor_grid_matter(void **state)
{
    uint64_t seed = 3;
    (void)state;
    for (int round = 0; round < 300; round++) {
        struct fefo_lot lots[LOTS], turned[LOTS], coarse[LOTS];
        const size_t count = deal(&seed, lots);
        const double total = ask(lots, count, poisson(0.7), 1).total_expected_waste;
        for (size_t i = 0; i < count; i++) {
            turned[count - 1 - i] = coarse[i] = lots[i];
            coarse[i].quantity *= 250;
        }
        assert_true(ask(turned, count, poisson(0.7), 1).total_expected_waste == total);
        assert_true(fabs(ask(coarse, count, poisson(0.7), 250).total_expected_waste - 250 * total) < 1e-9);
        if (count == 0 || count == LOTS)
            continue;
        lots[count] = lots[0]; /* one lot as two of one expiry */
        lots[count].id = "z";
        lots[0].quantity = floor(lots[0].quantity / 2);
        lots[count].quantity -= lots[0].quantity;
        assert_true(fabs(ask(lots, count + 1, poisson(0.7), 1).total_expected_waste - total) < 1e-11);
    }
}

/* A demand that comes in steps of 64 is the same by the unit, where it has so many cells that transforms add it up. */
static void a_fine_grid_gives_what_a_coarse_one_does(void **state)
{
    enum { COARSE = 100, FINE = 64 };
    static double coarse[COARSE], fine[(COARSE - 1) * FINE + 1];
    uint64_t seed = 4;
    double rest = 1;
    (void)state;
    for (int k = 0; k < COARSE; k++) {
        coarse[k] = k + 1 < COARSE ? rest * random_below(&seed, 50) / 1000 : rest;
        fine[k * FINE] = coarse[k];
        rest -= coarse[k];
    }
    for (int round = 0; round < 5; round++) {
        struct fefo_lot lots[LOTS];
        double waste[LOTS], p_waste[LOTS];
        for (int i = 0; i < LOTS; i++)
            lots[i] = (struct fefo_lot){.id = ids[i],
                                        .quantity = FINE * random_below(&seed, 150),
                                        .expires = i * 2 + 1,
                                        .received = RULE_NO_DAY};
        struct fefo_waste_random_answer answer =
            ask(lots, LOTS, (struct demand_model){.kind = DEMAND_PMF, .pmf = {coarse, COARSE}}, FINE);
        for (int i = 0; i < LOTS; i++) {
            waste[i] = answer.expected_waste[i];
            p_waste[i] = answer.p_waste[i];
        }
        answer = ask(lots, LOTS, (struct demand_model){.kind = DEMAND_PMF, .pmf = {fine, (COARSE - 1) * FINE + 1}}, 1);
        for (int i = 0; i < LOTS; i++)
            assert_true(fabs(waste[i] - answer.expected_waste[i]) < 1e-8 &&
                        fabs(p_waste[i] - answer.p_waste[i]) < 1e-11);
    }
}

/* Poisson periods may be cut anywhere: 12 months are 365.25 days. */
static void poisson_does_not_care_for_the_period(void **state)
{
    const struct fefo_lot months[] = {{.id = "a", .quantity = 3, .expires = 2, .received = RULE_NO_DAY},
                                      {.id = "b", .quantity = 4, .expires = 5, .received = RULE_NO_DAY}};
    struct fefo_lot days[2] = {months[0], months[1]};
    (void)state;
    for (int i = 0; i < 2; i++)
        days[i].expires *= 365.25 / 12;
    assert_true(fabs(ask(months, 2, poisson(1.1), 1).total_expected_waste -
                     ask(days, 2, poisson(1.1 * 12 / 365.25), 1).total_expected_waste) < 1e-11);
}

static void what_is_too_large_is_refused_at_once(void **state)
{
    const struct fefo_lot lot = {.id = "a", .quantity = 1e9, .expires = 1e6, .received = RULE_NO_DAY};
    static double even[200000];
    struct fefo_waste_random_answer answer;
    struct rule_fault fault;
    (void)state;
    assert_false(try_it(&(struct fefo_waste_random_case){&lot, 1, 1, poisson(1e4)}, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    for (size_t i = 0; i < 200000; i++)
        even[i] = 1.0 / 200000;
    const struct demand_model model = {.kind = DEMAND_PMF, .pmf = {even, 200000}};
    assert_false(try_it(&(struct fefo_waste_random_case){&lot, 1, 1, model}, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_the_mean_of_all_that_can_happen),
        cmocka_unit_test(one_lot_is_the_closed_form),
        cmocka_unit_test(keeps_its_bounds),
        cmocka_unit_test(neither_order_nor_cut_nor_grid_matter),
        cmocka_unit_test(a_fine_grid_gives_what_a_coarse_one_does),
        cmocka_unit_test(poisson_does_not_care_for_the_period),
        cmocka_unit_test(what_is_too_large_is_refused_at_once),
    };
    return cmocka_run_group_tests_name("rules/fefo_waste_random", tests, arena_room_set_up, arena_room_tear_down);
}
