#include "kiosk/rules/pin_throttle.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* That tries are limited: NIST SP 800-63B section 5.2.2. The numbers are ours. */

static void two_are_free_then_the_wait_doubles_up_to_a_quarter_of_an_hour(void **state)
{
    static const int64_t waits[] = {0, 0, 0, 30, 60, 120, 240, 480, 900, 900};
    (void)state;
    for (int wrong = 0; wrong < 10; wrong++)
        assert_int_equal(pin_throttle_wait_s(wrong), waits[wrong]);
    assert_int_equal(pin_throttle_wait_s(INT64_MAX), 900);
}

static void the_wait_runs_out_and_a_clock_set_back_does_not_lengthen_it(void **state)
{
    (void)state;
    assert_int_equal(pin_throttle_left_s(2, 0), 0);
    assert_int_equal(pin_throttle_left_s(3, 0), 30);
    assert_int_equal(pin_throttle_left_s(3, 1), 30); /* rounded up: whoever waits as long as said may try */
    assert_int_equal(pin_throttle_left_s(3, 29001), 1);
    assert_int_equal(pin_throttle_left_s(3, 30000), 0);
    assert_int_equal(pin_throttle_left_s(3, -86400000), 30);
    assert_int_equal(pin_throttle_left_s(9, 899999), 1);
    assert_int_equal(pin_throttle_left_s(9, INT64_MAX), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_are_free_then_the_wait_doubles_up_to_a_quarter_of_an_hour),
        cmocka_unit_test(the_wait_runs_out_and_a_clock_set_back_does_not_lengthen_it),
    };
    return cmocka_run_group_tests_name("rules/pin_throttle", tests, NULL, NULL);
}
