#include "kiosk/rules/fefo_simulate.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/rules/fefo_waste_random.h"
#include "tests/reading/random.h"

enum { ROOM = 4 * 1024 * 1024, LOTS = 3, PERIODS = 3, CELLS = 3, DELAYS = 2, LIVES = 3 };
static char ids[LOTS][2] = {"a", "b", "c"};

static bool try_it(const struct fefo_simulate_case *asked, struct fefo_simulate_answer *answer,
                   struct rule_fault *fault)
{
    static unsigned char memory[ROOM];
    struct arena arena;
    memset(fault, 0, sizeof *fault);
    arena_init(&arena, memory, sizeof memory);
    return fefo_simulate(asked, &arena, answer, fault);
}

static struct fefo_simulate_answer ask(const struct fefo_simulate_case *asked)
{
    struct fefo_simulate_answer answer;
    struct rule_fault fault;
    if (!try_it(asked, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

/* Four standard errors, once in 16 000 times; and what comes up in fewer than 1 of 400 ways may not have come up, nor
 * be in the standard error. */
static bool is_near(const struct fefo_simulated *is, double wanted)
{
    return fabs(is->mean - wanted) <= 4 * is->se + 0.0025;
}

/* The exact recursion, itself tried against all paths, where it holds: cases P2 (cartridges) and P3 (100 ml). */
static void agrees_with_the_exact_recursion(void **state)
{
    static double daily[] = {0.70, 0.15, 0.10, 0, 0.05};
    static const double quantities[2][LOTS] = {{3, 4, 6}, {500, 1000, 1000}},
                        expires[2][LOTS] = {{2, 5, 12}, {5, 14, 30}};
    const struct demand_model models[2] = {{.kind = DEMAND_POISSON, .mean = 1.1, .variance = 1.1},
                                           {.kind = DEMAND_PMF, .pmf = {daily, 5}}};
    static unsigned char memory[ROOM];
    (void)state;
    for (int k = 0; k < 2; k++)
        for (uint64_t seed = 0; seed < 5; seed++) {
            struct fefo_simulate_lot lots[LOTS] = {{.arrives_period = 0}};
            struct fefo_lot plain[LOTS];
            struct fefo_waste_random_answer exact;
            struct rule_fault fault = {0};
            struct arena arena;
            for (int i = 0; i < LOTS; i++)
                lots[i].lot = plain[i] = (struct fefo_lot){
                    .id = ids[i], .quantity = quantities[k][i], .expires = expires[k][i], .received = RULE_NO_DAY};
            const double grid = k == 0 ? 1 : 100;
            const struct fefo_simulate_answer answer = ask(&(struct fefo_simulate_case){.lots = lots,
                                                                                        .lot_count = LOTS,
                                                                                        .grid = grid,
                                                                                        .model = models[k],
                                                                                        .replications = 20000,
                                                                                        .seed = seed});
            arena_init(&arena, memory, sizeof memory);
            assert_true(fefo_waste_random(&(struct fefo_waste_random_case){plain, LOTS, grid, models[k]}, &arena,
                                          &exact, &fault));
            assert_true(is_near(&answer.total, exact.total_expected_waste));
            for (int i = 0; i < LOTS; i++) {
                const double p = exact.p_waste[i];
                assert_true(is_near(&answer.waste[i], exact.expected_waste[i]));
                assert_true(fabs(answer.p_waste[i] - p) <= 4 * sqrt(p * (1 - p) / 20000));
            }
            assert_true(answer.refused.mean == 0);
        }
}

/* --- brute force: every way that deliveries, demand and what it asks for can go, weighed --- */

struct world {
    const struct fefo_simulate_case *asked;
    const struct fefo_lot *sorted;
    double came[LOTS], left[LOTS], unmet, refused;
    double sum_waste[LOTS], sum_unmet, sum_refused; /* weighed sums over all ways */
};

static void all_periods(struct world world, int period, double weight, struct world *sums);

static void take(struct world *world, int period, int wanted, int life)
{
    for (; wanted > 0; wanted--) {
        bool seen = false, served = false;
        for (size_t i = 0; i < world->asked->lot_count && !served; i++) {
            const bool here = world->left[i] > 0 && world->came[i] < period && world->sorted[i].expires >= period;
            seen = seen || here;
            served = here && world->sorted[i].expires - period >= life;
            world->left[i] -= served;
        }
        world->unmet += !served;
        world->refused += !served && seen;
    }
}

/* `units` cells of the period's demand are still to be served, one after the other or all alike. */
static void all_lives(struct world world, int period, int units, double weight, struct world *sums)
{
    const bool by_unit = world.asked->asked_by == ASKED_BY_UNIT;
    if (units == 0) {
        all_periods(world, period + 1, weight, sums);
        return;
    }
    for (size_t life = 0; life < world.asked->life_left.count; life++) {
        struct world next = world;
        take(&next, period, by_unit ? 1 : units, (int)life);
        all_lives(next, period, by_unit ? units - 1 : 0, weight * world.asked->life_left.p[life], sums);
    }
}

static void all_periods(struct world world, int period, double weight, struct world *sums)
{
    double last = 0;
    for (size_t i = 0; i < world.asked->lot_count; i++)
        last = fmax(last, world.sorted[i].expires);
    if (period > last) {
        for (size_t i = 0; i < world.asked->lot_count; i++)
            sums->sum_waste[i] += weight * world.left[i];
        sums->sum_unmet += weight * world.unmet;
        sums->sum_refused += weight * world.refused;
        return;
    }
    for (size_t d = 0; d < world.asked->model.pmf.count; d++)
        all_lives(world, period, (int)d, weight * world.asked->model.pmf.p[d], sums);
}

static void all_deliveries(struct world world, size_t lot, double weight, struct world *sums)
{
    if (lot == world.asked->lot_count) {
        all_periods(world, 1, weight, sums);
        return;
    }
    const struct fefo_simulate_lot *coming = &world.asked->lots[world.sorted[lot].place];
    for (size_t k = 0; k < (coming->delay.p ? coming->delay.count : 1); k++) {
        world.came[lot] = (double)coming->arrives_period + (double)k;
        world.left[lot] = world.sorted[lot].quantity;
        all_deliveries(world, lot + 1, weight * (coming->delay.p ? coming->delay.p[k] : 1), sums);
    }
}

static void deal_pmf(uint64_t *seed, double *p, int count)
{
    double rest = 1;
    for (int k = 0; k + 1 < count; k++) {
        p[k] = rest * random_below(seed, 101) / 100;
        rest -= p[k];
    }
    p[count - 1] = rest;
}

static void agrees_with_the_mean_of_all_that_can_happen(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 60; round++) {
        struct fefo_simulate_lot lots[LOTS] = {{.arrives_period = 0}};
        double demand[CELLS], delays[LOTS][DELAYS], lives[LIVES];
        struct fefo_simulate_case asked = {.lots = lots,
                                           .lot_count = LOTS,
                                           .grid = 1,
                                           .model = {.kind = DEMAND_PMF, .pmf = {demand, CELLS}},
                                           .life_left = {lives, LIVES},
                                           .asked_by = round % 2 ? ASKED_BY_PERIOD : ASKED_BY_UNIT,
                                           .replications = 4000,
                                           .seed = (uint64_t)round};
        deal_pmf(&seed, demand, CELLS);
        deal_pmf(&seed, lives, LIVES);
        for (int i = 0; i < LOTS; i++) {
            deal_pmf(&seed, delays[i], DELAYS);
            lots[i].lot = (struct fefo_lot){.id = ids[i],
                                            .quantity = random_below(&seed, 4),
                                            .expires = random_below(&seed, PERIODS + 1),
                                            .opened = random_below(&seed, 2) == 1,
                                            .received = RULE_NO_DAY};
            lots[i].arrives_period = random_below(&seed, 2);
            lots[i].delay = random_below(&seed, 2) ? (struct pmf){delays[i], DELAYS} : (struct pmf){NULL, 0};
        }
        const struct fefo_simulate_answer answer = ask(&asked);
        struct world sums = {0};
        all_deliveries((struct world){.asked = &asked, .sorted = answer.lots}, 0, 1, &sums);
        for (int i = 0; i < LOTS; i++)
            if (!is_near(&answer.waste[i], sums.sum_waste[i]))
                fail_msg("round %d, lot %d: %g (se %g), exact %g", round, i, answer.waste[i].mean, answer.waste[i].se,
                         sums.sum_waste[i]);
        assert_true(is_near(&answer.unmet, sums.sum_unmet));
        assert_true(is_near(&answer.refused, sums.sum_refused));
    }
}

/* The standard error is what the answers of many seeds scatter by: their variance over it squared is chi-square of 199
 * degrees over 199, outside 0.65 to 1.41 once in some 10 000 times. */
static void the_standard_error_is_the_scatter_of_seeds(void **state)
{
    enum { SEEDS = 200 };
    static double late[] = {0.6, 0.4}, lives[] = {0.5, 0.5};
    const struct fefo_simulate_lot lots[] = {
        {.lot = {.id = "a", .quantity = 5, .expires = 4, .received = RULE_NO_DAY}, .delay = {late, 2}},
        {.lot = {.id = "b", .quantity = 4, .expires = 6, .received = RULE_NO_DAY}}};
    double sum = 0, squares = 0, se2 = 0;
    (void)state;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        const struct fefo_simulate_answer answer =
            ask(&(struct fefo_simulate_case){.lots = lots,
                                             .lot_count = 2,
                                             .grid = 1,
                                             .model = {.kind = DEMAND_POISSON, .mean = 1.2, .variance = 1.2},
                                             .life_left = {lives, 2},
                                             .replications = 300,
                                             .seed = seed});
        sum += answer.total.mean;
        squares += answer.total.mean * answer.total.mean;
        se2 += answer.total.se * answer.total.se / SEEDS;
    }
    const double variance = (squares - sum * sum / SEEDS) / (SEEDS - 1);
    assert_true(variance / se2 > 0.65 && variance / se2 < 1.41);
}

static void one_seed_is_one_answer(void **state)
{
    const struct fefo_simulate_lot lot = {.lot = {.id = "a", .quantity = 9, .expires = 4, .received = RULE_NO_DAY}};
    struct fefo_simulate_case asked = {.lots = &lot,
                                       .lot_count = 1,
                                       .grid = 1,
                                       .model = {.kind = DEMAND_POISSON, .mean = 2, .variance = 2},
                                       .replications = 500};
    (void)state;
    const double first = ask(&asked).total.mean;
    assert_true(ask(&asked).total.mean == first);
    asked.seed = 1;
    assert_true(ask(&asked).total.mean != first);
}

/* The first can be told from its periods, the second only while it is played: 100 000 units a period, one by one. */
static void what_takes_too_long_is_refused(void **state)
{
    static double even[2] = {0.5, 0.5};
    struct fefo_simulate_lot lot = {.lot = {.id = "a", .quantity = 9, .expires = 1e15, .received = RULE_NO_DAY}};
    struct fefo_simulate_case asked = {.lots = &lot,
                                       .lot_count = 1,
                                       .grid = 1,
                                       .model = {.kind = DEMAND_POISSON},
                                       .life_left = {even, 2},
                                       .replications = 2};
    struct fefo_simulate_answer answer;
    struct rule_fault fault;
    (void)state;
    assert_false(try_it(&asked, &answer, &fault));
    assert_string_equal(fault.key, "replications");
    lot.lot.expires = 1000;
    asked.model.mean = asked.model.variance = 1e5;
    assert_false(try_it(&asked, &answer, &fault));
    assert_string_equal(fault.key, "replications");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_exact_recursion),
        cmocka_unit_test(agrees_with_the_mean_of_all_that_can_happen),
        cmocka_unit_test(the_standard_error_is_the_scatter_of_seeds),
        cmocka_unit_test(one_seed_is_one_answer),
        cmocka_unit_test(what_takes_too_long_is_refused),
    };
    return cmocka_run_group_tests_name("rules/fefo_simulate", tests, NULL, NULL);
}
