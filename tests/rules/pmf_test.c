#include "kiosk/rules/pmf.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

/* Against GSL 2.7's distributions, another computation than ours (by gamma and beta functions), and closed forms. */

enum { ROOM = 64 * 1024 * 1024 };

static int set_up(void **state)
{
    static struct arena arena;
    arena_init(&arena, malloc(ROOM), ROOM);
    *state = &arena;
    return arena.memory == NULL;
}

static int tear_down(void **state)
{
    struct arena *arena = *state;
    free(arena->memory);
    return 0;
}

static void assert_sums_to_one(const struct pmf *pmf)
{
    double sum = 0;
    for (size_t k = 0; k < pmf->count; k++) {
        assert_true(pmf->p[k] >= 0);
        sum += pmf->p[k];
    }
    assert_true(fabs(sum - 1) < 1e-11);
}

static void poisson_is_gsl_s(void **state)
{
    static const double means[] = {1e-6, 0.1, 1.1, 7.7, 50, 700, 745, 2000, 100000};
    for (size_t i = 0; i < sizeof means / sizeof *means; i++) {
        struct pmf pmf;
        assert_true(pmf_poisson(*state, means[i], &pmf));
        assert_sums_to_one(&pmf);
        for (size_t k = 0; k + 1 < pmf.count; k += 1 + pmf.count / 50)
            assert_true(fabs(pmf.p[k] - gsl_ran_poisson_pdf((unsigned)k, means[i])) < 1e-9);
        assert_true(fabs(pmf_mean(&pmf) - means[i]) < 1e-7 * (1 + means[i]));
        assert_true(fabs(pmf_variance(&pmf) - means[i]) < 1e-7 * (1 + means[i]));
    }
}

static void negative_binomial_is_gsl_s(void **state)
{
    static const double cases[][2] = {{0.5, 0.6}, {1.0833, 2.431}, {4.4, 8.8}, {300, 1000}, {5, 500}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const double mean = cases[i][0], variance = cases[i][1], p = mean / variance, r = mean * p / (1 - p);
        struct pmf pmf;
        assert_true(pmf_negative_binomial(*state, mean, variance, &pmf));
        assert_sums_to_one(&pmf);
        for (size_t k = 0; k + 1 < pmf.count; k += 1 + pmf.count / 50)
            assert_true(fabs(pmf.p[k] - gsl_ran_negative_binomial_pdf((unsigned)k, p, r)) < 1e-10);
        assert_true(fabs(pmf_mean(&pmf) - mean) < 1e-8 * mean);
        assert_true(fabs(pmf_variance(&pmf) - variance) < 1e-6 * variance);
    }
}

/* Sums of Poissons are Poissons. */
static void sums_are_what_theory_says(void **state)
{
    struct pmf one, thirty, both, wanted;
    assert_true(pmf_poisson(*state, 0.7, &one));
    assert_true(pmf_times(*state, &one, 30, &thirty));
    assert_true(pmf_convolve(*state, &thirty, &one, &both));
    assert_true(pmf_poisson(*state, 21.7, &wanted));
    assert_sums_to_one(&both);
    for (size_t k = 0; k < wanted.count && k < both.count; k++)
        assert_true(fabs(both.p[k] - wanted.p[k]) < 1e-10);
    assert_true(pmf_times(*state, &one, 0, &both));
    assert_int_equal(both.count, 1);
    assert_true(both.p[0] == 1);
}

static void quantiles_and_losses(void **state)
{
    double cells[] = {0.25, 0.25, 0, 0.5};
    const struct pmf pmf = {cells, 4};
    (void)state;
    assert_int_equal(pmf_quantile(&pmf, 0.25), 0); /* reached, not passed */
    assert_int_equal(pmf_quantile(&pmf, 0.25 + 1e-9), 1);
    assert_int_equal(pmf_quantile(&pmf, 0.5), 1);
    assert_int_equal(pmf_quantile(&pmf, 0.51), 3);
    assert_int_equal(pmf_quantile(&pmf, 1), 3);
    assert_true(pmf_at_most(&pmf, -0.5) == 0 && pmf_at_most(&pmf, 1.9) == 0.5 && pmf_at_most(&pmf, 99) == 1);
    assert_true(pmf_loss(&pmf, 0) == 1.75 && pmf_loss(&pmf, 2) == 0.5 && pmf_loss(&pmf, 2.5) == 0.25 &&
                pmf_loss(&pmf, 3) == 0);
}

static void what_is_too_large_is_refused(void **state)
{
    struct pmf pmf;
    assert_false(pmf_poisson(*state, 1e9, &pmf));
    assert_false(pmf_negative_binomial(*state, 1, INFINITY, &pmf));
    assert_false(pmf_negative_binomial(*state, 1e-200, 1e200, &pmf)); /* p underflows */
    assert_false(pmf_negative_binomial(*state, 1e-200, 1, &pmf));     /* r underflows */
    static double many[100000];                                       /* 1e10 products: minutes */
    for (size_t k = 0; k < 100000; k++)
        many[k] = 1e-5;
    assert_false(pmf_convolve(*state, &(struct pmf){many, 100000}, &(struct pmf){many, 100000}, &pmf));
    struct arena small;
    unsigned char memory[256];
    arena_init(&small, memory, sizeof memory);
    assert_false(pmf_poisson(&small, 100, &pmf));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(poisson_is_gsl_s),
        cmocka_unit_test(negative_binomial_is_gsl_s),
        cmocka_unit_test(sums_are_what_theory_says),
        cmocka_unit_test(quantiles_and_losses),
        cmocka_unit_test(what_is_too_large_is_refused),
    };
    return cmocka_run_group_tests_name("rules/pmf", tests, set_up, tear_down);
}
