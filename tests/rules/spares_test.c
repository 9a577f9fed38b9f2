#include "kiosk/rules/spares.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "tests/reading/random.h"

/* Against trying all that can happen (brute force), GSL's binomial, and the moments of a sum of independent ones. */

enum { MOST = 10, TURNS = 300, ROOM = 1 << 20 };
static unsigned char memory[ROOM];

static struct spares_answer ask(const struct spares_case *asked)
{
    struct arena arena;
    struct spares_answer answer;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!spares(asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static size_t make(uint64_t *random, double *p)
{
    const size_t count = (size_t)random_below(random, MOST + 1);
    for (size_t i = 0; i < count; i++)
        p[i] = random_below(random, 101) / 100.0; /* 0 and 1 too */
    return count;
}

static void cells_are_the_sums_over_all_that_can_happen(void **state)
{
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        double p[MOST], wanted[MOST + 1] = {0};
        const size_t count = make(&random, p);
        for (unsigned which = 0; which < 1U << count; which++) {
            double chance = 1;
            size_t failed = 0;
            for (size_t i = 0; i < count; i++) {
                chance *= which >> i & 1 ? p[i] : 1 - p[i];
                failed += which >> i & 1;
            }
            wanted[failed] += chance;
        }
        const struct spares_answer answer =
            ask(&(struct spares_case){.vat_count = count, .probabilities = p, .target = 0.9});
        assert_int_equal(answer.pmf.count, count + 1);
        double enough = 0;
        for (size_t k = 0; k <= count; k++) {
            assert_true(fabs(answer.pmf.p[k] - wanted[k]) < 1e-14);
            enough += k <= answer.spares ? wanted[k] : 0;
        }
        assert_true(enough >= 0.9 - 1e-11);
        assert_true(answer.spares == 0 || enough - wanted[answer.spares] < 0.9);
    }
}

static void mean_and_variance_are_the_sums(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static double p[2000];
        double mean = 0, variance = 0;
        for (size_t i = 0; i < 2000; i++) {
            p[i] = random_below(&random, 1000) / 1000.0 * (turn % 5) / 5;
            mean += p[i];
            variance += p[i] * (1 - p[i]);
        }
        if (turn >= 5)
            break;
        const struct spares_answer answer =
            ask(&(struct spares_case){.vat_count = 2000, .probabilities = p, .target = 0.5});
        assert_true(fabs(answer.mean - mean) < 1e-9 * (1 + mean));
        assert_true(fabs(pmf_mean(&answer.pmf) - mean) < 1e-9 * (1 + mean));
        assert_true(fabs(pmf_variance(&answer.pmf) - variance) < 1e-7 * (1 + variance));
        assert_true(fabs((double)answer.spares - mean) < 2);
    }
}

static void vats_alike_are_gsl_s_binomial(void **state)
{
    static double p[500];
    (void)state;
    for (int turn = 0; turn < 15; turn++) {
        const double chance = 0.01 + 0.07 * turn;
        for (size_t i = 0; i < 500; i++)
            p[i] = chance;
        const struct spares_answer answer =
            ask(&(struct spares_case){.vat_count = 500, .probabilities = p, .target = 0.95});
        for (unsigned k = 0; k <= 500; k++)
            assert_true(fabs(answer.pmf.p[k] - gsl_ran_binomial_pdf(k, chance, 500)) < 1e-11);
    }
}

static void order_does_not_matter_and_more_wear_never_needs_fewer(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        double hours[MOST], turned[MOST];
        const size_t count = 1 + (size_t)random_below(&random, MOST);
        for (size_t i = 0; i < count; i++)
            turned[count - 1 - i] = hours[i] = random_below(&random, 700);
        struct spares_case asked = {
            .vat_count = count, .hours = hours, .horizon_hours = 100, .life = {log(500), 3}, .target = 0.9};
        const size_t now = ask(&asked).spares;
        asked.hours = turned;
        assert_int_equal(ask(&asked).spares, now);
        turned[0] += 100;
        assert_true(ask(&asked).spares >= now);
        asked.target = 0.99;
        assert_true(ask(&asked).spares >= now);
        asked.target = 0.9;
        asked.horizon_hours = 300;
        assert_true(ask(&asked).spares >= now);
    }
}

static void too_many_vats_and_a_full_arena_are_faults(void **state)
{
    double *p = calloc(SPARES_VATS + 1, sizeof *p);
    struct spares_case asked = {.vat_count = SPARES_VATS + 1, .probabilities = p, .target = 0.9};
    struct arena arena;
    struct spares_answer answer;
    struct rule_fault fault = {0};
    (void)state;
    assert_non_null(p);
    arena_init(&arena, memory, sizeof memory);
    assert_false(spares(&asked, &arena, &answer, &fault));
    assert_string_equal(fault.key, "probabilities");
    fault = (struct rule_fault){0};
    asked.vat_count = 1000;
    arena_init(&arena, memory, 4000);
    assert_false(spares(&asked, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    free(p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_are_the_sums_over_all_that_can_happen),
        cmocka_unit_test(mean_and_variance_are_the_sums),
        cmocka_unit_test(vats_alike_are_gsl_s_binomial),
        cmocka_unit_test(order_does_not_matter_and_more_wear_never_needs_fewer),
        cmocka_unit_test(too_many_vats_and_a_full_arena_are_faults),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/spares", tests, NULL, NULL);
}
