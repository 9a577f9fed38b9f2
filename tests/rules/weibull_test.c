#include "kiosk/rules/weibull.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

/* Against GSL's integration, closed forms (the exponential, the Rayleigh) and long double. */

static bool is_near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance * fabs(b);
}

struct tail {
    double beta, from;
};

/* P(T > from + x | T > from) for eta 1. */
static double outlives(double x, void *of)
{
    const struct tail *tail = of;
    return (double)expl(powl(tail->from, tail->beta) - powl((long double)tail->from + x, tail->beta));
}

static void mean_remaining_is_the_area_under_the_tail(void **state)
{
    static const double shapes[] = {0.3, 0.7, 1, 1.06, 2, 3.16, 4, 10, 50};
    static const double ages[] = {0, 1e-6, 0.2, 0.7, 0.95, 1, 1.05, 1.3, 2, 3};
    gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(4000);
    (void)state;
    for (size_t b = 0; b < sizeof shapes / sizeof *shapes; b++)
        for (size_t t = 0; t < sizeof ages / sizeof *ages; t++) {
            struct tail tail = {shapes[b], ages[t]};
            gsl_function function = {outlives, &tail};
            double area = 0, error = 0;
            const double most = weibull_mean_remaining((struct weibull){0, shapes[b]}, ages[t]);
            if (powl(ages[t], shapes[b]) > 1e4L)
                continue; /* too thin for the integration; see the next test */
            /* up to 60 times its own answer, in pieces, so that a thin tail is not overlooked */
            double sum = 0;
            for (int piece = 0; piece < 60; piece++) {
                assert_int_equal(gsl_integration_qag(&function, piece * most, (piece + 1) * most, 0, 1e-10, 4000,
                                                     GSL_INTEG_GAUSS31, workspace, &area, &error),
                                 GSL_SUCCESS);
                sum += area;
            }
            if (shapes[b] >= 0.7) { /* what is beyond is then nothing */
                if (!is_near(most, sum, 1e-7))
                    fail_msg("shape %g, age %g: %.12g, by integration %.12g", shapes[b], ages[t], most, sum);
            } else {
                assert_true(most > sum && is_near(most, sum, 0.2));
            }
        }
    gsl_integration_workspace_free(workspace);
}

/* The exponential forgets its age; the Rayleigh (shape 2) has sqrt(pi) / 2 erfc(t) e^(t^2), far out 1 / 2t (1 - 1/2t^2
 * + 3/4t^4 ...); so far out any shape has t / (beta u) (1 + (a - 1) / u ...), a = 1 / beta, u = t^beta (Abramowitz,
 * Stegun 6.5.32). */
static void mean_remaining_holds_far_out(void **state)
{
    (void)state;
    for (int i = 0; i < 28; i++)
        assert_true(is_near(weibull_mean_remaining((struct weibull){log(25), 1}, 1e-9 * pow(7, i)), 25, 1e-12));
    for (int i = 1; i < 72; i++) {
        const double t = 0.07 * i;
        assert_true(is_near(weibull_mean_remaining((struct weibull){0, 2}, t),
                            (double)(sqrtl(acosl(-1)) / 2 * erfcl(t) * expl((long double)t * t)), 1e-12));
    }
    for (int i = 2; i < 100; i++) {
        const double t = pow(10, i), wanted = 1 / (2 * t) * (1 - 1 / (2 * t * t));
        assert_true(is_near(weibull_mean_remaining((struct weibull){0, 2}, t), wanted, 1e-7));
    }
    for (int i = 0; i < 11; i++)
        for (int k = 6; k < 40; k++) {
            const double beta = 0.05 * pow(2, i), u = pow(10, k), t = pow(u, 1 / beta),
                         wanted = t / (beta * u) * (1 + (1 / beta - 1) / u);
            if (isfinite(wanted) && wanted > 0)
                assert_true(is_near(weibull_mean_remaining((struct weibull){0, beta}, t), wanted, 1e-8));
        }
}

/* Where one way of computing hands over to the other nothing jumps. */
static void the_ways_meet(void **state)
{
    (void)state;
    for (int i = 0; i < 36; i++)
        for (int seam = 0; seam < 2; seam++) {
            const double beta = 0.02 * pow(1.3, i), u = seam == 0 ? 1 / beta + 1 : exp(50), t = pow(u, 1 / beta);
            const double before = weibull_mean_remaining((struct weibull){0, beta}, t * (1 - 1e-13 / beta)),
                         behind = weibull_mean_remaining((struct weibull){0, beta}, t * (1 + 1e-13 / beta));
            if (isfinite(before) && isfinite(t))
                assert_true(is_near(before, behind, 1e-9));
        }
}

static void hazards_do_not_lose_what_is_small(void **state)
{
    static const double shapes[] = {0.05, 0.5, 1, 2.5, 20, 900};
    (void)state;
    for (size_t b = 0; b < sizeof shapes / sizeof *shapes; b++)
        for (int i = 0; i < 13; i++)
            for (int k = 0; k < 15; k++) {
                const double from = 1e-3 * pow(1.9, i), more = 1e-9 * pow(5, k),
                             is = weibull_hazard((struct weibull){0, shapes[b]}, from, more);
                const long double start = powl(from, shapes[b]);
                const long double wanted = start * expm1l(shapes[b] * log1pl((long double)more / from));
                if (wanted < 1e300L && wanted > 1e-300L)
                    assert_true(is_near(is, (double)wanted, 1e-11));
            }
}

static void the_ends_are_no_nonsense(void **state)
{
    static const double ends[] = {0, 1e-320, 1e-300, 1, 1e300, 1.7e308};
    enum { ENDS = sizeof ends / sizeof *ends };
    (void)state;
    for (int power = -3; power < 5; power++)
        for (int scale = -4; scale <= 4; scale++)
            for (int i = 0; i < ENDS; i++) {
                const struct weibull weibull = {175 * scale, pow(10, power)};
                const double remaining = weibull_mean_remaining(weibull, ends[i]);
                assert_true(remaining >= 0);
                for (int k = 0; k < ENDS; k++) {
                    const double hazard = weibull_hazard(weibull, ends[i], ends[k]);
                    assert_true(hazard >= 0 && (ends[k] > 0 || hazard == 0));
                }
            }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mean_remaining_is_the_area_under_the_tail),
        cmocka_unit_test(mean_remaining_holds_far_out),
        cmocka_unit_test(the_ways_meet),
        cmocka_unit_test(hazards_do_not_lose_what_is_small),
        cmocka_unit_test(the_ends_are_no_nonsense),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/weibull", tests, NULL, NULL);
}
