#include "labels/basics/calendar.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static struct day date(const char *text)
{
    struct day day = {0};
    struct fault fault = {FAULT_NONE, ""};
    if (!calendar_read_date(text, strlen(text), &day, &fault))
        fail_msg("%s: %s", text, fault.text);
    return day;
}

static void days_are_counted_from_1970(void **state)
{
    static const struct {
        const char *text;
        int number;
        const char *source;
    } cases[] = {
        {"1970-01-01", 0, "POSIX, seconds since the Epoch"},
        {"1969-12-31", -1, "POSIX, seconds since the Epoch"},
        {"2000-03-01", 11017, "computed with Python datetime"},
        {"2026-02-14", 20498, "GNU date 9.1"},
        {"2024-02-29", 19782, "GNU date 9.1"},
        {"1900-03-01", -25508, "computed with Python datetime: 1900 is no leap year"},
        {"2999-12-31", 376199, "computed with Python datetime"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (date(cases[i].text).number != cases[i].number)
            fail_msg("%s (%s): %d", cases[i].text, cases[i].source, (int)date(cases[i].text).number);
}

/* ISO 8601-1:2019, proleptic Gregorian calendar: divisible by 4, not by 100, unless by 400. */
static void leap_years_follow_the_gregorian_rule(void **state)
{
    (void)state;
    assert_true(calendar_is_leap_year(2000));
    assert_true(calendar_is_leap_year(2024));
    assert_false(calendar_is_leap_year(1900));
    assert_false(calendar_is_leap_year(2100));
    assert_false(calendar_is_leap_year(2026));
    assert_int_equal(calendar_days_in_month(2024, 2), 29);
    assert_int_equal(calendar_days_in_month(2100, 2), 28);
    assert_int_equal(calendar_days_in_month(2026, 4), 30);
    assert_int_equal(calendar_days_in_month(2026, 12), 31);
}

static void every_supported_day_splits_into_itself(void **state)
{
    int number = calendar_day(CALENDAR_FIRST_YEAR, 1, 1).number;
    (void)state;
    for (int year = CALENDAR_FIRST_YEAR; year <= CALENDAR_LAST_YEAR; year++)
        for (int month = 1; month <= 12; month++)
            for (int day_of_month = 1; day_of_month <= calendar_days_in_month(year, month); day_of_month++) {
                int y, m, d;
                calendar_split((struct day){number}, &y, &m, &d);
                if (y != year || m != month || d != day_of_month ||
                    calendar_day(year, month, day_of_month).number != number)
                    fail_msg("day %d is %d-%d-%d, not %d-%d-%d", number, y, m, d, year, month, day_of_month);
                number++;
            }
}

/* The month-end rule is common practice for shelf lives, computed in one step from the origin; values checked with
 * Python. */
static void months_are_added_in_one_step_and_clamped(void **state)
{
    static const struct {
        const char *from;
        int months;
        const char *to;
    } cases[] = {
        {"2026-01-31", 1, "2026-02-28"}, {"2024-01-31", 1, "2024-02-29"},  {"2026-01-31", 3, "2026-04-30"},
        {"2026-08-31", 6, "2027-02-28"}, {"2024-02-29", 12, "2025-02-28"}, {"2024-02-29", 48, "2028-02-29"},
        {"2026-12-31", 2, "2027-02-28"}, {"2026-02-28", 12, "2027-02-28"}, {"2026-02-14", 6, "2026-08-14"},
        {"2099-12-31", 2, "2100-02-28"}, {"2026-03-31", -1, "2026-02-28"}, {"2026-01-15", -13, "2024-12-15"},
        {"2026-05-05", 0, "2026-05-05"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[CALENDAR_DATE_SIZE];
        assert_string_equal(calendar_write_date(calendar_add_months(date(cases[i].from), cases[i].months), text),
                            cases[i].to);
    }
    assert_int_equal(date("2026-08-14").number - date("2026-02-14").number, 181);
}

static void dates_that_do_not_exist_are_refused_with_the_reason(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"2026-02-29", "2026-02 has days 01 to 28"}, {"2100-02-29", "2100-02 has days 01 to 28"},
        {"2026-04-31", "2026-04 has days 01 to 30"}, {"2026-13-01", "month 13 is not 01 to 12"},
        {"2026-00-01", "month 00 is not 01 to 12"},  {"2026-01-00", "day 00 does not exist"},
        {"1899-12-31", "year 1899 is not between"},  {"3000-01-01", "year 3000 is not between"},
        {"14/02/2026", "write it as YYYY-MM-DD"},    {"2026-2-14", "write it as YYYY-MM-DD"},
        {"2026-02-14 ", "write it as YYYY-MM-DD"},   {"", "write it as YYYY-MM-DD"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct day day = {7};
        struct fault fault = {FAULT_NONE, ""};
        assert_false(calendar_read_date(cases[i].text, strlen(cases[i].text), &day, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(day.number, 7);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("'%s': %s", cases[i].text, fault.text);
    }
}

/* What a fault quotes may be any bytes; its text is for JSON and screens, so always UTF-8. */
static void strange_bytes_are_quoted_readably(void **state)
{
    struct day day = {7};
    struct instant instant = {7};
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_false(calendar_read_compact("2026~\\\xD5"
                                       "0",
                                       8, &day, &fault));
    assert_non_null(strstr(fault.text, "'2026~\\<0xD5>0'"));
    assert_false(calendar_read_date("\xC3", 1, &day, &fault));
    assert_non_null(strstr(fault.text, "'<0xC3>'"));
    assert_false(calendar_read_instant("2026\x1d", 5, &instant, &fault));
    assert_non_null(strstr(fault.text, "'2026<GS>'"));
}

/* ANSI MH10.8.2, data identifiers 14D and 16D: YYYYMMDD. */
static void compact_dates_are_eight_digits(void **state)
{
    struct day day = {7};
    (void)state;
    assert_true(calendar_read_compact("20260214", 8, &day, NULL));
    assert_int_equal(day.number, 20498);
    day.number = 7;
    assert_false(calendar_read_compact("20260230", 8, &day, NULL));
    assert_false(calendar_read_compact("20261301", 8, &day, NULL));
    assert_false(calendar_read_compact("2026081", 7, &day, NULL));
    assert_false(calendar_read_compact("2026O214", 8, &day, NULL));
    assert_int_equal(day.number, 7);
}

/* ISO 8601-1:2019, 5.4.2.1; the instants by GNU date 9.1 (date -u -d … +%s). */
static void instants_are_read_and_written_in_utc(void **state)
{
    static const struct {
        const char *text;
        int64_t ms;
    } cases[] = {
        {"1970-01-01T00:00:00.000Z", 0},
        {"1969-12-31T23:59:59.999Z", -1},
        {"2026-02-14T12:34:56.789Z", INT64_C(1771072496789)},
        {"2000-02-29T23:59:59.000Z", INT64_C(951868799000)},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct instant instant = {1};
        char text[CALENDAR_INSTANT_SIZE];
        assert_true(calendar_read_instant(cases[i].text, strlen(cases[i].text), &instant, NULL));
        assert_true(instant.ms == cases[i].ms);
        assert_string_equal(calendar_write_instant(instant, text), cases[i].text);
    }
    struct instant instant = {1};
    assert_true(calendar_read_instant("2026-02-14T12:34:56Z", 20, &instant, NULL));
    assert_true(instant.ms == INT64_C(1771072496000));
}

static void instants_without_zone_or_out_of_range_are_refused(void **state)
{
    static const char *const refused[] = {
        "2026-02-14T12:34:56",     "2026-02-14T24:00:00Z",      "2026-02-14T12:60:00Z",
        "2026-02-14T12:34:60Z",    "2026-02-30T12:34:56Z",      "2026-02-14 12:34:56Z",
        "2026-02-14T12:34:56.78Z", "2026-02-14T12:34:56+01:00", ""};
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct instant instant = {1};
        if (calendar_read_instant(refused[i], strlen(refused[i]), &instant, NULL) || instant.ms != 1)
            fail_msg("'%s' was taken", refused[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_counted_from_1970),
        cmocka_unit_test(leap_years_follow_the_gregorian_rule),
        cmocka_unit_test(every_supported_day_splits_into_itself),
        cmocka_unit_test(months_are_added_in_one_step_and_clamped),
        cmocka_unit_test(dates_that_do_not_exist_are_refused_with_the_reason),
        cmocka_unit_test(strange_bytes_are_quoted_readably),
        cmocka_unit_test(compact_dates_are_eight_digits),
        cmocka_unit_test(instants_are_read_and_written_in_utc),
        cmocka_unit_test(instants_without_zone_or_out_of_range_are_refused),
    };
    return cmocka_run_group_tests_name("basics/calendar", tests, NULL, NULL);
}
