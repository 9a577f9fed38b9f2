#include "kiosk/rules/sampling.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

/* Against GSL 2.7 (its binomial by the incomplete beta function, its hypergeometric by sums of factorials), closed
 * forms, and identities where neither reaches. */

static void assert_close(double is, double wanted, double relative)
{
    if (!(fabs(is - wanted) <= relative * fmax(fabs(wanted), 1e-300)))
        fail_msg("%.17g, wanted %.17g", is, wanted);
}

static void binomial_is_gsl_s(void **state)
{
    static const double shares[] = {1e-9, 0.001, 0.05, 0.3, 0.5, 0.77, 0.999};
    (void)state;
    for (unsigned n = 0; n < 3000; n = n * 3 / 2 + 1)
        for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
            for (unsigned k = 0; k <= n; k += 1 + n / 17) {
                const double wanted = gsl_cdf_binomial_P(k, shares[i], n);
                if (wanted > 1e-200)
                    assert_close(sampling_binomial_at_most(n, shares[i], k), wanted, 1e-10);
            }
}

/* There a cell is a number of so few digits that its ratio to the next is lost: once it took 10^8 steps to leave them.
 */
static void chances_that_no_number_holds_are_none(void **state)
{
    (void)state;
    assert_true(sampling_binomial_at_most(SAMPLING_MOST, 0.6, SAMPLING_MOST / 10 * 6 - 18500000) < 1e-300);
    assert_true(sampling_binomial_at_most(1000000000, 0.6005859375, 600000000) == 0);
}

static void binomial_at_its_ends(void **state)
{
    (void)state;
    assert_true(sampling_binomial_at_most(5, 0, 0) == 1 && sampling_binomial_at_most(5, 1, 4) == 0 &&
                sampling_binomial_at_most(5, 1, 5) == 1 && sampling_binomial_at_most(5, 0.5, -1) == 0 &&
                sampling_binomial_at_most(0, 0.5, 0) == 1);
    /* P(X <= 0) = (1 - p)^n */
    assert_close(sampling_binomial_at_most(INT64_C(3000000000), 1e-9, 0), exp(3e9 * log1p(-1e-9)), 1e-13);
    assert_close(sampling_binomial_at_most(SAMPLING_MOST_DRAWS, 1e-15, 0), exp(9007199254740992.0 * log1p(-1e-15)),
                 1e-12);
}

static void hypergeometric_is_gsl_s(void **state)
{
    (void)state;
    for (unsigned all = 1; all < 200; all += 1 + all / 7)
        for (unsigned wrong = 0; wrong <= all; wrong += 1 + all / 11)
            for (unsigned draws = 0; draws <= all; draws += 1 + all / 13)
                for (unsigned k = 0; k <= draws; k++) {
                    const double wanted = k >= wrong ? 1 : gsl_cdf_hypergeometric_P(k, wrong, all - wrong, draws);
                    if (wanted > 1e-100)
                        assert_close(sampling_hypergeometric_at_most(all, wrong, draws, k), wanted, 1e-10);
                }
}

/* Choose(n, k) exactly, by Pascal's triangle; and every cell as a whole number of ways. */
static void hypergeometric_is_counted_exactly(void **state)
{
    enum { MOST = 30 };
    double choose[MOST + 1][MOST + 1] = {{0}};
    (void)state;
    for (int n = 0; n <= MOST; n++) {
        choose[n][0] = 1;
        for (int k = 1; k <= n; k++)
            choose[n][k] = choose[n - 1][k - 1] + (k < n ? choose[n - 1][k] : 0);
    }
    for (int wrong = 0; wrong <= MOST; wrong++)
        for (int draws = 0; draws <= MOST; draws++) {
            double ways = 0;
            for (int k = 0; k <= draws; k++) {
                if (k <= wrong && draws - k <= MOST - wrong)
                    ways += choose[wrong][k] * choose[MOST - wrong][draws - k];
                assert_close(sampling_hypergeometric_at_most(MOST, wrong, draws, k), ways / choose[MOST][draws], 1e-11);
            }
        }
}

/* It is the same which of the two subsets of the list is drawn and which is wrong; and what is not wrong is right. */
static void hypergeometric_of_many_keeps_its_symmetries(void **state)
{
    static const int64_t cases[][4] = {{1000000000, 3000, 1000000, 5},
                                       {1000000000, 400000000, 1000000, 399500},
                                       {1000000000, 500000000, 500000000, 249990000},
                                       {SAMPLING_MOST, SAMPLING_MOST / 3, 1000000, 333000},
                                       {SAMPLING_MOST, 12, SAMPLING_MOST / 2, 7}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const int64_t all = cases[i][0], wrong = cases[i][1], draws = cases[i][2], k = cases[i][3];
        const double p = sampling_hypergeometric_at_most(all, wrong, draws, k);
        assert_true(p > 1e-6 && p < 1 - 1e-6);
        assert_close(sampling_hypergeometric_at_most(all, draws, wrong, k), p, 1e-7);
        assert_close(1 - sampling_hypergeometric_at_most(all, all - wrong, draws, draws - k - 1), p, 1e-7);
    }
    /* few out of very many: as good as an endless list */
    assert_close(sampling_hypergeometric_at_most(SAMPLING_MOST, SAMPLING_MOST / 50, 300, 2),
                 sampling_binomial_at_most(300, 0.02, 2), 1e-8);
}

static void limits_are_gsl_s(void **state)
{
    static const double risks[] = {0.4, 0.05, 0.025, 0.001};
    (void)state;
    for (int n = 1; n < 400; n += 1 + n / 3)
        for (int good = 0; good <= n; good += 1 + n / 9)
            for (size_t i = 0; i < sizeof risks / sizeof *risks; i++) {
                if (good > 0)
                    assert_close(sampling_lower_limit(n, good, risks[i]),
                                 gsl_cdf_beta_Pinv(risks[i], good, n - good + 1), 1e-8);
                if (good < n)
                    assert_close(sampling_upper_limit(n, good, risks[i]),
                                 gsl_cdf_beta_Qinv(risks[i], good + 1, n - good), 1e-8);
            }
}

static void limits_at_their_ends_have_a_formula(void **state)
{
    (void)state;
    for (int64_t n = 1; n <= 1000000000; n *= 10) {
        const double share = (double)n;
        assert_true(sampling_lower_limit(n, 0, 0.05) == 0 && sampling_upper_limit(n, n, 0.05) == 1);
        assert_close(sampling_lower_limit(n, n, 0.05), exp(log(0.05) / share), 1e-12);
        assert_close(sampling_upper_limit(n, 0, 0.05), -expm1(log(0.05) / share), 1e-9);
        assert_close(sampling_lower_limit(n, 1, 0.05), -expm1(log1p(-0.05) / share), 1e-9);
    }
}

/* What is wrong to the one is right to the other. */
static void limits_of_many_mirror_each_other(void **state)
{
    (void)state;
    for (int64_t good = 0; good <= 1000000; good += 76543)
        assert_close(1 - sampling_upper_limit(1000000, 1000000 - good, 0.01), sampling_lower_limit(1000000, good, 0.01),
                     1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(binomial_is_gsl_s),
        cmocka_unit_test(chances_that_no_number_holds_are_none),
        cmocka_unit_test(binomial_at_its_ends),
        cmocka_unit_test(hypergeometric_is_gsl_s),
        cmocka_unit_test(hypergeometric_is_counted_exactly),
        cmocka_unit_test(hypergeometric_of_many_keeps_its_symmetries),
        cmocka_unit_test(limits_are_gsl_s),
        cmocka_unit_test(limits_at_their_ends_have_a_formula),
        cmocka_unit_test(limits_of_many_mirror_each_other),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/sampling", tests, NULL, NULL);
}
