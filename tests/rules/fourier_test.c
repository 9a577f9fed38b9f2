#include "kiosk/rules/fourier.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "kiosk/rules/pmf.h"
#include "tests/reading/random.h"

enum { ROOM = 64 * 1024 * 1024 };

/* Brute force: the definition of a convolution. */
static void is_the_sum_of_all_products(void **state)
{
    uint64_t seed = 1;
    for (int round = 0; round < 300; round++) {
        double a[40], b[40], sum[80] = {0};
        struct arena arena;
        const int n = 1 + random_below(&seed, 40), m = 1 + random_below(&seed, 40);
        arena_init(&arena, *state, ROOM);
        for (int i = 0; i < n; i++)
            a[i] = random_below(&seed, 100) / 1000.0;
        for (int k = 0; k < m; k++)
            b[k] = random_below(&seed, 100) / 1000.0;
        for (int i = 0; i < n; i++)
            for (int k = 0; k < m; k++)
                sum[i + k] += a[i] * b[k];
        const double *is = fourier_convolve(a, (size_t)n, b, (size_t)m, &arena);
        assert_non_null(is);
        for (int k = 0; k < n + m - 1; k++)
            assert_true(is[k] >= 0 && fabs(is[k] - sum[k]) < 1e-15);
    }
}

/* Sums of Poissons are Poissons. */
static void large_ones_are_what_theory_says(void **state)
{
    struct arena arena;
    struct pmf a, b, wanted;
    arena_init(&arena, *state, ROOM);
    assert_true(pmf_poisson(&arena, 20000, &a));
    assert_true(pmf_poisson(&arena, 30000, &b));
    assert_true(pmf_poisson(&arena, 50000, &wanted));
    const double *is = fourier_convolve(a.p, a.count, b.p, b.count, &arena);
    assert_non_null(is);
    for (size_t k = 0; k + 1 < wanted.count && k < a.count + b.count - 1; k++)
        assert_true(fabs(is[k] - wanted.p[k]) < 1e-11);
}

static void what_is_too_large_is_refused(void **state)
{
    static double half[FOURIER_CELLS / 2 + 1];
    struct arena arena;
    arena_init(&arena, *state, ROOM);
    assert_non_null(fourier_convolve(half, FOURIER_CELLS / 2, half, FOURIER_CELLS / 2, &arena));
    arena_init(&arena, *state, ROOM);
    assert_null(fourier_convolve(half, FOURIER_CELLS / 2 + 1, half, FOURIER_CELLS / 2 + 1, &arena));
    arena_init(&arena, *state, 1024);
    assert_null(fourier_convolve(half, 100, half, 100, &arena));
}

static int set_up(void **state)
{
    *state = malloc(ROOM);
    return *state == NULL;
}

static int tear_down(void **state)
{
    free(*state);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_the_sum_of_all_products),
        cmocka_unit_test(large_ones_are_what_theory_says),
        cmocka_unit_test(what_is_too_large_is_refused),
    };
    return cmocka_run_group_tests_name("rules/fourier", tests, set_up, tear_down);
}
