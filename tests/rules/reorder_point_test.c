#include "kiosk/rules/reorder_point.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "tests/reading/random.h"
#include "tests/rules/arena_room.h"

/* Tables of R 4.2.2 or SciPy 1.10.1 stand in fixtures/compute/reorder-point.json. Here: GSL's distributions, sums over
 * all demands without any of the rule's shortcuts, and a storeroom run day by day. */

enum { CELLS = 6, SUMS = 3 * CELLS };

static struct reorder_point_case plain(struct demand_model model, double target)
{
    return (struct reorder_point_case){.model = model,
                                       .lead_periods = 1,
                                       .target = target,
                                       .order_quantity = RULE_NULL,
                                       .on_hand = RULE_NULL,
                                       .pack = 1,
                                       .cap = RULE_NO_COUNT};
}

static struct reorder_point_answer ask(const struct reorder_point_case *asked)
{
    struct reorder_point_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    arena_room_begin(&arena);
    if (!reorder_point(asked, &arena, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

static void cycle_level_is_gsl_s_quantile(void **state)
{
    static const double means[] = {0.05, 0.5, 1.2, 7.7, 60}, targets[] = {0.01, 0.5, 0.9, 0.95, 0.99, 0.9999};
    (void)state;
    for (size_t i = 0; i < sizeof means / sizeof *means; i++)
        for (size_t k = 0; k < sizeof targets / sizeof *targets; k++) {
            const double variance = 1.7 * means[i], p = 1 / 1.7, r = means[i] * p / (1 - p);
            unsigned level = 0;
            while (gsl_cdf_poisson_P(level, means[i]) < targets[k])
                level++;
            struct reorder_point_case asked =
                plain((struct demand_model){DEMAND_POISSON, means[i], means[i], {0}}, targets[k]);
            assert_true(ask(&asked).level == level);
            for (level = 0; gsl_cdf_negative_binomial_P(level, p, r) < targets[k];)
                level++;
            asked.model = (struct demand_model){DEMAND_NEGATIVE_BINOMIAL, means[i], variance, {0}};
            assert_true(ask(&asked).level == level);
        }
}

/* R 4.2.2 or SciPy 1.10.1: sums of the upper tail. Of so large an order quantity nothing is short at the end of it. */
static void losses_of_a_negative_binomial(void **state)
{
    static const double losses[] = {1.083333333, .578013222, .311493500, .168807735, .091817124, .050070757};
    static const double just_under[] = {.4, .7, .8, .92, .95, .97};
    (void)state;
    for (int s = 0; s < 6; s++) {
        struct reorder_point_case asked =
            plain((struct demand_model){DEMAND_NEGATIVE_BINOMIAL, 0.541666667, 1.215579710, {0}}, just_under[s]);
        asked.lead_periods = 2;
        asked.order_quantity = 1e6;
        const struct reorder_point_answer answer = ask(&asked);
        assert_true(answer.level == s);
        assert_true(fabs(answer.expected_short - losses[s]) < 1e-8);
    }
}

static void make_cells(uint64_t *random, double *cells)
{
    double sum = 0;
    for (int k = 0; k < CELLS; k++)
        sum += cells[k] = 1 + random_below(random, 100);
    for (int k = 0; k < CELLS; k++)
        cells[k] /= sum;
}

/* Over all demands of two periods before the delivery and one after it. */
static double short_by_hand(const double *cells, const struct reorder_point_case *asked, double level)
{
    double is_short = 0;
    for (int a = 0; a < CELLS; a++)
        for (int b = 0; b < CELLS; b++)
            for (int c = 0; c < CELLS; c++) {
                const double chance = cells[a] * cells[b] * cells[c];
                if (asked->review_periods > 0)
                    is_short += chance * (fmax(0, a + b + c - level) - fmax(0, a + b - level));
                else
                    is_short += chance * fmin(asked->order_quantity, fmax(0, a + b - level));
            }
    return is_short;
}

static void fill_level_is_the_first_that_is_enough(void **state)
{
    enum { TRIES = 300 };
    uint64_t random = 41;
    (void)state;
    for (int i = 0; i < TRIES; i++) {
        double cells[CELLS], mean = 0;
        make_cells(&random, cells);
        for (int k = 0; k < CELLS; k++)
            mean += k * cells[k];
        struct reorder_point_case asked = plain((struct demand_model){.kind = DEMAND_PMF, .pmf = {cells, CELLS}},
                                                0.05 + 0.009 * random_below(&random, 100));
        asked.measure = REORDER_FILL;
        asked.lead_periods = 2;
        asked.review_periods = i % 2;
        asked.order_quantity = 0.5 + random_below(&random, 12);
        const double demand = i % 2 ? mean : asked.order_quantity;
        const struct reorder_point_answer answer = ask(&asked);
        double level = 0;
        while (1 - short_by_hand(cells, &asked, level) / demand < asked.target)
            level++;
        assert_true(answer.level == level);
        assert_true(fabs(answer.expected_short - short_by_hand(cells, &asked, level)) < 1e-10);
        assert_true(fabs(answer.fill_rate - (1 - answer.expected_short / demand)) < 1e-12);
    }
}

/* A storeroom, reviewed each morning, deliveries two mornings later, what is short is owed: the shares of demand and of
 * days that it comes to are those the rule says. A million days; the wanted digits are far outside chance. */
static void order_up_to_is_a_storeroom_run_day_by_day(void **state)
{
    enum { DAYS = 1000000, LEAD = 2 };
    static const double cells[] = {0.6, 0.2, 0.1, 0.05, 0.05};
    struct reorder_point_case asked =
        plain((struct demand_model){.kind = DEMAND_PMF, .pmf = {(double *)cells, 5}}, 0.93);
    uint64_t random = 42;
    (void)state;
    asked.lead_periods = LEAD;
    asked.review_periods = 1;
    const struct reorder_point_answer answer = ask(&asked);
    double stock = answer.level, coming[LEAD] = {0}, demand_sum = 0, short_sum = 0, good = 0, yesterday = 0;
    for (int day = 0; day < DAYS; day++) {
        stock += coming[day % LEAD];
        coming[day % LEAD] = yesterday; /* ordered up to the level again */
        const double thrown = random_next(&random) / 4294967296.0;
        const double demand = (thrown >= 0.6) + (thrown >= 0.8) + (thrown >= 0.9) + (thrown >= 0.95);
        short_sum += stock < 0 ? demand : fmax(0, demand - stock);
        demand_sum += demand;
        stock -= demand;
        good += stock >= 0;
        yesterday = demand;
    }
    assert_true(fabs(1 - short_sum / demand_sum - answer.fill_rate) < 3e-3);
    assert_true(fabs(good / DAYS - answer.cycle_service) < 3e-3);
}

static void more_asked_for_is_never_a_lower_level(void **state)
{
    (void)state;
    for (int kind = DEMAND_POISSON; kind <= DEMAND_NORMAL; kind++)
        for (int measure = REORDER_CYCLE; measure <= REORDER_FILL; measure++) {
            double cells[] = {0.5, 0.2, 0.2, 0.1}, before = -INFINITY;
            for (int percent = 2; percent < 100; percent += 2) {
                struct reorder_point_case asked =
                    plain((struct demand_model){(enum demand_kind)kind, 0.9, 1.5, {cells, 4}}, percent / 100.0);
                asked.measure = (enum reorder_measure)measure;
                asked.order_quantity = 2;
                const double level = ask(&asked).level;
                assert_true(level >= before);
                before = level;
                asked.lead_periods = 3;
                if (kind != DEMAND_NORMAL) /* its level may stand below the mean, by more of a larger spread */
                    assert_true(ask(&asked).level >= level);
            }
        }
}

/* By adding one Q after another, and one pack after another. */
static void orders_are_the_fewest_that_do(void **state)
{
    enum { TRIES = 2000 };
    uint64_t random = 43;
    (void)state;
    for (int i = 0; i < TRIES; i++) {
        struct reorder_point_case asked = plain((struct demand_model){DEMAND_POISSON, 3, 3, {0}}, 0.9);
        asked.order_quantity = i % 3 ? 0.25 * (1 + random_below(&random, 30)) : RULE_NULL;
        asked.review_periods = i % 2;
        asked.on_hand = 0.25 * random_below(&random, 40);
        asked.backorders = random_below(&random, 5);
        asked.on_order = random_below(&random, 5);
        asked.pack = 1 + random_below(&random, 6);
        asked.cap = i % 5 ? RULE_NO_COUNT : random_below(&random, 20);
        const struct reorder_point_answer answer = ask(&asked);
        const double position = asked.on_hand + asked.on_order - asked.backorders;
        double lift = 0, wanted = 0;
        assert_true(answer.position == position);
        if (i % 2)
            lift = fmax(0, answer.level - position);
        else
            while (position <= answer.level && position + lift <= answer.level)
                lift += i % 3 ? asked.order_quantity : 1;
        while (wanted < lift)
            wanted += (double)asked.pack;
        while (i % 5 == 0 && wanted > (double)asked.cap)
            wanted -= (double)asked.pack;
        assert_true(answer.order == (lift > 0 ? TRUTH_YES : TRUTH_NO));
        assert_true((double)answer.suggested_quantity == wanted);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cycle_level_is_gsl_s_quantile),
        cmocka_unit_test(losses_of_a_negative_binomial),
        cmocka_unit_test(fill_level_is_the_first_that_is_enough),
        cmocka_unit_test(order_up_to_is_a_storeroom_run_day_by_day),
        cmocka_unit_test(more_asked_for_is_never_a_lower_level),
        cmocka_unit_test(orders_are_the_fewest_that_do),
    };
    return cmocka_run_group_tests_name("rules/reorder_point", tests, arena_room_set_up, arena_room_tear_down);
}
