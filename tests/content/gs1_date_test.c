#include "labels/content/gs1_date.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* GS1 General Specifications, determination of century in dates; the sentences are ours, the values computed by its
 * rule: 51 or more ahead is the last century, 50 or more back the next. */
static void two_digits_fall_into_the_century_nearest_today(void **state)
{
    static const struct {
        int two_digits, this_year, year;
    } cases[] = {
        {76, 2026, 2076}, {77, 2026, 1977}, {0, 2026, 2000},  {26, 2026, 2026}, {99, 2049, 2099},
        {0, 2050, 2100},  {1, 2050, 2001},  {25, 2075, 2125}, {26, 2075, 2026}, {50, 2000, 2050},
        {51, 2000, 1951}, {49, 2099, 2149}, {50, 2099, 2050},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (gs1_date_year(cases[i].two_digits, cases[i].this_year) != cases[i].year)
            fail_msg("%02d in %d: %d", cases[i].two_digits, cases[i].this_year,
                     gs1_date_year(cases[i].two_digits, cases[i].this_year));
}

/* The same section: every two digits mean exactly one year, 49 back to 50 ahead. */
static void the_window_is_49_years_back_to_50_ahead(void **state)
{
    (void)state;
    for (int this_year = 1950; this_year <= 2150; this_year++)
        for (int two_digits = 0; two_digits <= 99; two_digits++) {
            const int year = gs1_date_year(two_digits, this_year);
            if (year % 100 != two_digits || year < this_year - 49 || year > this_year + 50)
                fail_msg("%02d in %d: %d", two_digits, this_year, year);
        }
}

static void day_00_is_the_last_of_its_month(void **state)
{
    static const struct {
        const char *text, *date;
        bool was_00;
    } cases[] = {
        {"270200", "2027-02-28", true},  {"280200", "2028-02-29", true},  {"260400", "2026-04-30", true},
        {"270131", "2027-01-31", false}, {"280229", "2028-02-29", false}, {"260814", "2026-08-14", false},
    };
    const struct day today = calendar_day(2026, 2, 14);
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct day day = {0};
        bool was_00 = !cases[i].was_00;
        char text[CALENDAR_DATE_SIZE];
        struct fault fault = {FAULT_NONE, ""};
        if (!gs1_date_read(span_of(cases[i].text), today, true, &day, &was_00, &fault))
            fail_msg("%s: %s", cases[i].text, fault.text);
        assert_string_equal(calendar_write_date(day, text), cases[i].date);
        assert_int_equal(was_00, cases[i].was_00);
    }
}

/* GS1 Barcode Syntax Dictionary, checks yymmd0 and yymmdd. */
static void dates_that_do_not_exist_leave_everything_alone(void **state)
{
    static const struct {
        const char *text;
        bool allow_00;
        const char *reason;
    } cases[] = {
        {"270229", true, "2027-02 has days 01 to 28"},
        {"270230", true, "2027-02 has days 01 to 28"},
        {"260431", true, "2026-04 has days 01 to 30"},
        {"271300", true, "month 13"},
        {"260010", true, "month 00"},
        {"270200", false, "day 00"},
        {"27O131", true, "not six digits"},
        {"27013", true, "not six digits"},
        {"2701311", true, "not six digits"},
        {"", true, "not six digits"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct day day = {7};
        bool was_00 = true;
        struct fault fault = {FAULT_NONE, ""};
        assert_false(
            gs1_date_read(span_of(cases[i].text), calendar_day(2026, 2, 14), cases[i].allow_00, &day, &was_00, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(day.number, 7);
        assert_true(was_00);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("'%s': %s", cases[i].text, fault.text);
    }
}

static void a_clock_at_the_end_of_time_is_a_sentence_not_a_crash(void **state)
{
    struct day day = {7};
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_false(gs1_date_read(span_of("100101"), calendar_day(2999, 1, 1), true, &day, NULL, &fault));
    assert_non_null(strstr(fault.text, "clock"));
    assert_false(gs1_date_read(span_of("990101"), calendar_day(1900, 1, 1), true, &day, NULL, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_digits_fall_into_the_century_nearest_today),
        cmocka_unit_test(the_window_is_49_years_back_to_50_ahead),
        cmocka_unit_test(day_00_is_the_last_of_its_month),
        cmocka_unit_test(dates_that_do_not_exist_leave_everything_alone),
        cmocka_unit_test(a_clock_at_the_end_of_time_is_a_sentence_not_a_crash),
    };
    return cmocka_run_group_tests_name("content/gs1_date", tests, NULL, NULL);
}
