#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "kiosk/rules/fefo_waste_random.h"
#include "kiosk/rules/order_by_cost.h"
#include "kiosk/rules/order_by_waste.h"
#include "tests/reading/random.h"

enum { ROOM = 8 * 1024 * 1024, LOTS = 4 };
static char ids[LOTS][2] = {"a", "b", "c", "d"};

static struct arena *fresh_arena(void)
{
    static unsigned char memory[ROOM];
    static struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    return &arena;
}

static struct demand_model poisson(double mean)
{
    return (struct demand_model){.kind = DEMAND_POISSON, .mean = mean, .variance = mean};
}

static struct order_by_waste_case deal(uint64_t *seed, struct fefo_lot *lots)
{
    struct order_by_waste_case asked = {.on_hand = lots,
                                        .on_hand_count = (size_t)random_below(seed, LOTS),
                                        .new_expires_period = 1 + random_below(seed, 12),
                                        .model = poisson(0.1 + 0.1 * random_below(seed, 20)),
                                        .max_waste_share = 0.01 * random_below(seed, 40),
                                        .pack = 1 + random_below(seed, 4),
                                        .max_quantity = random_below(seed, 30)};
    for (size_t i = 0; i < asked.on_hand_count; i++)
        lots[i] = (struct fefo_lot){.id = ids[i],
                                    .quantity = random_below(seed, 8),
                                    .expires = random_below(seed, 12),
                                    .received = RULE_NO_DAY};
    return asked;
}

static struct order_by_waste_answer ask(const struct order_by_waste_case *asked)
{
    struct order_by_waste_answer answer;
    struct rule_fault fault = {0};
    if (!order_by_waste(asked, fresh_arena(), &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

/* What fefo-waste-random, which is tried against all paths, gives for the new lot and for all others. Its id is the
 * highest, so that it stands behind lots of its own expiry. */
static double waste_of_new(const struct order_by_waste_case *asked, int64_t quantity, double *others)
{
    static unsigned char memory[ROOM];
    struct arena arena;
    struct fefo_lot lots[LOTS + 1];
    struct fefo_waste_random_answer answer;
    struct rule_fault fault = {0};
    double waste = -1;
    memcpy(lots, asked->on_hand, asked->on_hand_count * sizeof *lots);
    lots[asked->on_hand_count] = (struct fefo_lot){
        .id = "new", .quantity = (double)quantity, .expires = asked->new_expires_period, .received = RULE_NO_DAY};
    arena_init(&arena, memory, sizeof memory);
    assert_true(fefo_waste_random(&(struct fefo_waste_random_case){lots, asked->on_hand_count + 1, 1, asked->model},
                                  &arena, &answer, &fault));
    for (size_t i = 0; i < answer.lot_count; i++)
        if (strcmp(answer.lots[i].id, "new") == 0)
            waste = answer.expected_waste[i];
    *others = answer.total_expected_waste - waste;
    return waste;
}

static void is_the_largest_that_wastes_little(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 2000; round++) {
        struct fefo_lot lots[LOTS];
        const struct order_by_waste_case asked = deal(&seed, lots);
        const struct order_by_waste_answer answer = ask(&asked);
        int64_t best = 0;
        double others = 0, last = 0;
        for (int64_t q = asked.pack; q <= asked.max_quantity; q += asked.pack) {
            const double share = waste_of_new(&asked, q, &others) / (double)q;
            assert_true(share >= last - 1e-12); /* theory: it never falls */
            best = share <= asked.max_waste_share + 1e-9 ? q : best;
            last = share;
        }
        assert_int_equal(answer.chosen.quantity, best);
        (void)waste_of_new(&asked, 0, &others);
        assert_true(fabs(answer.expected_waste_on_hand - others) < 1e-9);
    }
}

static void the_table_ends_one_pack_above(void **state)
{
    uint64_t seed = 2;
    (void)state;
    for (int round = 0; round < 2000; round++) {
        struct fefo_lot lots[LOTS];
        const struct order_by_waste_case asked = deal(&seed, lots);
        const struct order_by_waste_answer answer = ask(&asked);
        const int64_t wanted = answer.chosen.quantity + asked.pack,
                      last = wanted <= asked.max_quantity ? wanted : answer.chosen.quantity;
        assert_int_equal(answer.table_count, last / asked.pack);
        for (size_t i = 0; i < answer.table_count; i++) {
            const struct order_row *row = &answer.table[i];
            double others = 0;
            assert_int_equal(row->quantity, asked.pack * (int64_t)(i + 1));
            assert_true(fabs(row->expected_waste - waste_of_new(&asked, row->quantity, &others)) < 1e-9);
            assert_true(fabs(row->waste_share * (double)row->quantity - row->expected_waste) < 1e-12);
        }
    }
}

/* A stricter share, a larger pack or a longer list on hand never raises the order. */
static void more_on_hand_never_orders_more(void **state)
{
    uint64_t seed = 3;
    (void)state;
    for (int round = 0; round < 1000; round++) {
        struct fefo_lot lots[LOTS];
        struct order_by_waste_case asked = deal(&seed, lots);
        const int64_t before = ask(&asked).chosen.quantity;
        asked.max_waste_share /= 2;
        assert_true(ask(&asked).chosen.quantity <= before);
        asked.max_waste_share *= 2;
        if (asked.on_hand_count == 0)
            continue;
        lots[0].quantity += 3;
        assert_true(ask(&asked).chosen.quantity <= before);
    }
}

/* Newsvendor: the cost expected of the answer is no higher than of its neighbours, summed over GSL's distribution. */
static double cost_of(int64_t quantity, double mean, double under, double over)
{
    double cost = 0;
    for (int64_t d = 0; d < 400; d++)
        cost += gsl_ran_poisson_pdf((unsigned)d, mean) *
                (d > quantity ? under * (double)(d - quantity) : over * (double)(quantity - d));
    return cost;
}

static void newsvendor_is_the_cheapest(void **state)
{
    uint64_t seed = 4;
    (void)state;
    for (int round = 0; round < 500; round++) {
        const double mean = 0.1 * (1 + random_below(&seed, 500)), under = 1 + random_below(&seed, 100),
                     over = 1 + random_below(&seed, 100);
        struct newsvendor_answer answer;
        struct rule_fault fault = {0};
        assert_true(newsvendor(&(struct newsvendor_case){under, over, poisson(mean)}, fresh_arena(), &answer, &fault));
        const double cost = cost_of(answer.quantity, mean, under, over);
        assert_true(cost <= cost_of(answer.quantity + 1, mean, under, over) + 1e-7);
        assert_true(answer.quantity == 0 || cost <= cost_of(answer.quantity - 1, mean, under, over) + 1e-7);
        assert_true(fabs(answer.p_enough - gsl_cdf_poisson_P((unsigned)answer.quantity, mean)) < 1e-9);
    }
}

/* EOQ: the cost of a year, K D / Q + h Q / 2, is lowest at Q. */
static void eoq_is_the_cheapest(void **state)
{
    uint64_t seed = 5;
    (void)state;
    for (int round = 0; round < 500; round++) {
        const double k = 1 + random_below(&seed, 100), d = 1 + random_below(&seed, 1000),
                     h = 0.01 * (1 + random_below(&seed, 500));
        struct eoq_answer answer;
        struct rule_fault fault = {0};
        assert_true(eoq(&(struct eoq_case){k, d, h, RULE_NULL}, fresh_arena(), &answer, &fault));
        const double q = answer.quantity_exact, cost = k * d / q + h * q / 2;
        assert_true(cost <= k * d / (1.01 * q) + h * 1.01 * q / 2);
        assert_true(cost <= k * d / (0.99 * q) + h * 0.99 * q / 2);
        assert_true(rule_is_null(answer.life_cap));
        assert_true(
            eoq(&(struct eoq_case){k, d, h, 6 * q / d}, fresh_arena(), &answer, &fault)); /* lasts half as long */
        assert_true(fabs(answer.quantity_exact - q / 2) < 1e-9 * q && strcmp(answer.limited_by, "life") == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_the_largest_that_wastes_little),
        cmocka_unit_test(the_table_ends_one_pack_above),
        cmocka_unit_test(more_on_hand_never_orders_more),
        cmocka_unit_test(newsvendor_is_the_cheapest),
        cmocka_unit_test(eoq_is_the_cheapest),
    };
    return cmocka_run_group_tests_name("rules/order_quantity", tests, NULL, NULL);
}
