#include "kiosk/rules/normal_loss.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "kiosk/rules/rule.h"

static void losses_are_those_of_the_table(void **state)
{
    (void)state;
    assert_true(fabs(normal_loss(0.58) - 0.174224705) < 1e-9); /* R 4.2.2 or SciPy 1.10.1 */
    assert_true(fabs(normal_loss(1.28) - 0.047498543) < 1e-9);
    assert_true(fabs(normal_loss(0) - 1 / sqrt(2 * acos(-1.0))) < 1e-15);     /* by hand */
    assert_true(fabs(normal_loss_inverse(0.175438596) - 0.575690597) < 1e-8); /* likewise */
}

/* Another way to it: the area under the upper tail from k on, by Simpson's rule. */
static void loss_is_the_area_under_the_tail(void **state)
{
    enum { STEPS = 4000 };
    (void)state;
    for (int tenth = -40; tenth < 60; tenth += 4) {
        const double k = tenth / 10.0, step = 12.0 / STEPS;
        double area = 0;
        for (int i = 0; i <= STEPS; i++)
            area += (i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2) * gsl_cdf_ugaussian_Q(k + i * step) * step / 3;
        assert_true(fabs(normal_loss(k) - area) < 1e-10);
    }
}

static void inverse_finds_back(void **state)
{
    (void)state;
    for (int tenth = -10000; tenth < 300; tenth += tenth < -100 ? 73 : 1) {
        const double k = tenth / 10.0;
        assert_true(fabs(normal_loss_inverse(normal_loss(k)) - k) < 1e-9 * fmax(1, fabs(k)));
    }
}

static void what_has_no_root_has_no_answer(void **state)
{
    (void)state;
    assert_true(rule_is_null(normal_loss_inverse(0)));
    assert_true(rule_is_null(normal_loss_inverse(-1)));
    assert_true(rule_is_null(normal_loss_inverse(INFINITY)));
    assert_true(rule_is_null(normal_loss_inverse(NAN)));
    assert_true(fabs(normal_loss_inverse(1e-320) - 37) < 1e-9); /* less than can be told apart */
    assert_true(fabs(normal_loss_inverse(1e300) + 1e300) < 1e288);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(losses_are_those_of_the_table),
        cmocka_unit_test(loss_is_the_area_under_the_tail),
        cmocka_unit_test(inverse_finds_back),
        cmocka_unit_test(what_has_no_root_has_no_answer),
    };
    return cmocka_run_group_tests_name("rules/normal_loss", tests, NULL, NULL);
}
