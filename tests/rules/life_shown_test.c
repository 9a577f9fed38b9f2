#include "kiosk/rules/life_shown.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* A tenth of the rated life, and at least an hour: common practice, no source. */

enum { AN_HOUR = 60 };

static void what_is_left_is_never_less_than_nothing_nor_known_without_hours(void **state)
{
    (void)state;
    assert_int_equal(life_shown_left(&(struct life_shown){.life_minutes = 30000, .used_minutes = 5280}), 24720);
    assert_int_equal(life_shown_left(&(struct life_shown){.life_minutes = 30000, .used_minutes = 30000}), 0);
    assert_int_equal(life_shown_left(&(struct life_shown){.life_minutes = 30000, .used_minutes = 90000}), 0);
    assert_true(life_shown_left(&(struct life_shown){.life_minutes = 30000, .used_minutes = INT64_MIN}) < 0);
}

static void what_is_used_by_the_printers_count_is_never_less_than_nothing(void **state)
{
    (void)state;
    assert_int_equal(life_shown_used(&(struct life_shown){.life_minutes = 30000, .shown_minutes = 24720}), 5280);
    assert_int_equal(life_shown_used(&(struct life_shown){.life_minutes = 30000, .shown_minutes = 0}), 30000);
    assert_int_equal(life_shown_used(&(struct life_shown){.life_minutes = 30000, .shown_minutes = 36000}), 0);
}

static void two_books_differ_beyond_a_tenth_and_an_hour(void **state)
{
    static const struct {
        int64_t life, used, shown; /* minutes */
        bool differs;
    } cases[] = {
        {500 * AN_HOUR, 88 * AN_HOUR, 412 * AN_HOUR, false},
        {500 * AN_HOUR, 88 * AN_HOUR, 462 * AN_HOUR, false}, /* a tenth more */
        {500 * AN_HOUR, 88 * AN_HOUR, 463 * AN_HOUR, true},
        {500 * AN_HOUR, 88 * AN_HOUR, 362 * AN_HOUR, false}, /* a tenth less */
        {500 * AN_HOUR, 88 * AN_HOUR, 361 * AN_HOUR, true},
        {500 * AN_HOUR, 88 * AN_HOUR - 1, 362 * AN_HOUR, true}, /* a minute decides */
        {5 * AN_HOUR, 2 * AN_HOUR, 2 * AN_HOUR, false},         /* rounded: an hour is none */
        {5 * AN_HOUR, 2 * AN_HOUR, 4 * AN_HOUR, false},
        {5 * AN_HOUR, 2 * AN_HOUR - 1, 2 * AN_HOUR, true},
        {500 * AN_HOUR, 900 * AN_HOUR, 0, false}, /* both say that it is over */
        {500 * AN_HOUR, 900 * AN_HOUR, 51 * AN_HOUR, true},
        {500 * AN_HOUR, INT64_MIN, 0, false}, /* nothing to compare with */
        {500 * AN_HOUR, INT64_MIN, 500 * AN_HOUR, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct life_shown reading = {cases[i].life, cases[i].used, cases[i].shown};
        if (life_shown_differs(&reading) != cases[i].differs)
            fail_msg("case %zu", i);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_left_is_never_less_than_nothing_nor_known_without_hours),
        cmocka_unit_test(what_is_used_by_the_printers_count_is_never_less_than_nothing),
        cmocka_unit_test(two_books_differ_beyond_a_tenth_and_an_hour),
    };
    return cmocka_run_group_tests_name("rules/life_shown", tests, NULL, NULL);
}
