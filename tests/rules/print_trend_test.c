#include "kiosk/rules/print_trend.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Limits are our own (common practice, no source); the three of one label are those usually
 * advised for a camera without calibration, likewise without a source. Medians by hand. */

enum { LOOKS = 8 };

static struct print_numbers good(void)
{
    return (struct print_numbers){.at = {600, 550, 1000, 4000, 60, 20, 20, 10, 800}};
}

static void fill(struct print_numbers looks[LOOKS])
{
    for (size_t i = 0; i < LOOKS; i++)
        looks[i] = good();
}

static void too_few_labels_say_how_many_more(void **state)
{
    struct print_numbers looks[LOOKS];
    struct print_trend trend;
    (void)state;
    fill(looks);
    print_trend_make(looks, 3, looks, 0, &trend);
    assert_false(trend.known);
    assert_int_equal(trend.missing, 7);
    assert_non_null(strstr(trend.text, "7 more labels"));
    assert_true(trend.baseline.at[PRINT_MODULATION] == PRINT_NOT_MEASURED);
    print_trend_make(looks, 8, looks, 4, &trend);
    assert_int_equal(trend.missing, 1);
    assert_non_null(strstr(trend.text, "1 more label "));
    print_trend_make(looks, 5, looks, 5, &trend);
    assert_true(trend.known);
    assert_int_equal(trend.drifted, PRINT_NUMBERS);
    assert_non_null(strstr(trend.text, "prints as it did"));
}

static void medians_forgive_two_bad_pictures_of_five_but_not_three(void **state)
{
    struct print_numbers first[LOOKS], newest[LOOKS];
    struct print_trend trend;
    (void)state;
    for (size_t bad = 0; bad <= 5; bad++) {
        fill(first);
        fill(newest);
        for (size_t i = 0; i < bad; i++)
            newest[i].at[PRINT_MODULATION] = 300;
        print_trend_make(first, LOOKS, newest, LOOKS, &trend);
        assert_int_equal(trend.drifted, bad >= 3 ? PRINT_MODULATION : PRINT_NUMBERS);
    }
    assert_non_null(strstr(trend.text, "modulation went from 0.60 to 0.30"));
    assert_non_null(strstr(trend.text, "clean the head"));
}

static void each_number_drifts_at_its_limit_and_not_before(void **state)
{
    static const struct {
        enum print_number number;
        int64_t at_limit, before;
    } cases[] = {{PRINT_MODULATION, 450, 451}, {PRINT_MARGIN, 350, 351},  {PRINT_UNUSED, 800, 801},
                 {PRINT_FIXED, 3000, 3001},    {PRINT_GRID, 180, 179},    {PRINT_GROWTH_X, 120, 119},
                 {PRINT_GROWTH_X, -80, -79},   {PRINT_GROWTH_Y, 110, 109}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int limit = 0; limit < 2; limit++) {
            struct print_numbers first[LOOKS], newest[LOOKS];
            struct print_trend trend;
            fill(first);
            fill(newest);
            for (size_t k = 0; k < LOOKS; k++)
                newest[k].at[cases[i].number] = limit ? cases[i].at_limit : cases[i].before;
            print_trend_make(first, LOOKS, newest, LOOKS, &trend);
            if (trend.drifted != (limit ? cases[i].number : PRINT_NUMBERS))
                fail_msg("%s, limit %d: %d", print_trend_name(cases[i].number), limit, trend.drifted);
        }
}

static void better_numbers_and_those_of_light_and_tilt_are_no_drift(void **state)
{
    struct print_numbers first[LOOKS], newest[LOOKS];
    struct print_trend trend;
    (void)state;
    fill(first);
    fill(newest);
    for (size_t k = 0; k < LOOKS; k++)
        newest[k] = (struct print_numbers){.at = {990, 990, 1000, 4000, 0, 200, 20, 10, 100}};
    print_trend_make(first, LOOKS, newest, LOOKS, &trend);
    assert_int_equal(trend.drifted, PRINT_NUMBERS);
}

static void what_was_not_measured_is_unknown_and_never_nought(void **state)
{
    struct print_numbers first[LOOKS], newest[LOOKS];
    struct print_trend trend;
    (void)state;
    fill(first);
    fill(newest);
    for (size_t k = 0; k < 3; k++)
        newest[k].at[PRINT_GRID] = newest[k + 1].at[PRINT_UNUSED] = PRINT_NOT_MEASURED;
    print_trend_make(first, LOOKS, newest, LOOKS, &trend);
    assert_true(trend.now.at[PRINT_GRID] == PRINT_NOT_MEASURED);
    assert_true(trend.now.at[PRINT_UNUSED] == PRINT_NOT_MEASURED);
    assert_int_equal(trend.now.at[PRINT_MODULATION], 600);
    assert_int_equal(trend.drifted, PRINT_NUMBERS);
}

static void one_label_below_a_limit_is_named(void **state)
{
    struct print_numbers look = good();
    (void)state;
    assert_int_equal(print_trend_below(&look), PRINT_NUMBERS);
    look.at[PRINT_UNUSED] = 750;
    assert_int_equal(print_trend_below(&look), PRINT_NUMBERS);
    look.at[PRINT_UNUSED] = 749;
    assert_int_equal(print_trend_below(&look), PRINT_UNUSED);
    look.at[PRINT_UNUSED] = PRINT_NOT_MEASURED;
    look.at[PRINT_FIXED] = 2000;
    assert_int_equal(print_trend_below(&look), PRINT_FIXED);
    look.at[PRINT_MODULATION] = 399;
    assert_int_equal(print_trend_below(&look), PRINT_MODULATION);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(too_few_labels_say_how_many_more),
        cmocka_unit_test(medians_forgive_two_bad_pictures_of_five_but_not_three),
        cmocka_unit_test(each_number_drifts_at_its_limit_and_not_before),
        cmocka_unit_test(better_numbers_and_those_of_light_and_tilt_are_no_drift),
        cmocka_unit_test(what_was_not_measured_is_unknown_and_never_nought),
        cmocka_unit_test(one_label_below_a_limit_is_named),
    };
    return cmocka_run_group_tests_name("rules/print_trend", tests, NULL, NULL);
}
