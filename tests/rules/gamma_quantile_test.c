#include "kiosk/rules/gamma_quantile.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

static bool is_near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance * fmax(1, fabs(b));
}

static void they_are_r_s(void **state)
{
    /* R 4.2.2: qgamma(p, a) */
    static const struct {
        double a, p, x;
    } cases[] = {{0.01, 0.05, 4.46553501891e-131},
                 {0.1, 0.05, 5.93071129141e-14},
                 {0.1, 0.95, 0.580435105323},
                 {0.5, 1e-6, 7.85398163398e-13},
                 {2, 0.05, 0.355361510699},
                 {2, 0.5, 1.67834699002},
                 {11, 0.95, 16.9622192357},
                 {100, 1e-6, 59.4363206981},
                 {10000, 1e-9, 9411.82841145},
                 {25118.8643150958, 0.99, 25489.0355846},
                 {316227.766016838, 0.999, 317968.38158},
                 {1e6, 0.99, 1002327.8184},
                 {1e7, 1e-6, 9984975.5502}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_true(is_near(gamma_log_quantile(cases[i].a, cases[i].p, GAMMA_BELOW), log(cases[i].x), 1e-10));
        assert_true(is_near(gamma_log_quantile(cases[i].a, 1 - cases[i].p, GAMMA_ABOVE), log(cases[i].x), 1e-8) ||
                    cases[i].p < 1e-5); /* 1 - p has too few digits left */
    }
}

/* Shape 1 is the exponential, shape 1/2 half the square of a normal; GSL's normal quantile is another computation. */
static void they_are_the_closed_forms(void **state)
{
    (void)state;
    for (int i = 0; i < 50; i++) {
        const double near = pow(3, -i % 25 - 1), p = i < 25 ? near : 1 - near;
        assert_true(is_near(gamma_log_quantile(1, p, GAMMA_BELOW), log(-log1p(-p)), 1e-10));
        assert_true(is_near(gamma_log_quantile(1, p, GAMMA_ABOVE), log(-log(p)), 1e-10));
        const double z = gsl_cdf_ugaussian_Qinv(p / 2);
        assert_true(is_near(gamma_log_quantile(0.5, p, GAMMA_ABOVE), log(z * z / 2), 1e-9));
    }
}

static void they_grow_with_the_chance_and_the_two_tails_meet(void **state)
{
    (void)state;
    for (int i = 0; i < 48; i++) {
        const double a = 1e-4 * pow(1.7, i);
        double last = -INFINITY;
        for (int k = 0; k < 58; k++) {
            const double p = 0.001 + 0.0173 * k, below = gamma_log_quantile(a, p, GAMMA_BELOW),
                         above = gamma_log_quantile(a, 1 - p, GAMMA_ABOVE);
            assert_true(below > last && is_near(below, above, 1e-9));
            last = below;
        }
    }
}

static void shapes_at_the_ends_have_theirs_too(void **state)
{
    (void)state;
    assert_true(is_near(gamma_log_quantile(1e300, 0.5, GAMMA_BELOW), log(1e300), 1e-12));
    assert_true(gamma_log_quantile(1e-300, 0.5, GAMMA_BELOW) < -1e290);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(they_are_r_s),
        cmocka_unit_test(they_are_the_closed_forms),
        cmocka_unit_test(they_grow_with_the_chance_and_the_two_tails_meet),
        cmocka_unit_test(shapes_at_the_ends_have_theirs_too),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/gamma_quantile", tests, NULL, NULL);
}
