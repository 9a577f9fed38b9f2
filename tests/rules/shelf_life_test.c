#include "kiosk/rules/shelf_life.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

static const struct shelf_life_span NO_SPAN = {RULE_NO_COUNT, RULE_NO_COUNT};

static struct shelf_life_case nothing_known(void)
{
    return (struct shelf_life_case){.today = calendar_day(2026, 7, 1),
                                    .expires = RULE_NO_DAY,
                                    .made = RULE_NO_DAY,
                                    .life = NO_SPAN,
                                    .opened = RULE_NO_DAY,
                                    .open_life = NO_SPAN,
                                    .needed_until = RULE_NO_DAY,
                                    .minimum_days = RULE_NO_COUNT};
}

static bool ask(const struct shelf_life_case *asked, struct shelf_life_answer *answer, struct rule_fault *fault)
{
    static unsigned char memory[4096];
    struct arena arena;
    memset(fault, 0, sizeof *fault);
    arena_init(&arena, memory, sizeof memory);
    return shelf_life(asked, &arena, answer, fault);
}

/* Definition of a month later: the same day of the month, or the month's last when there is no such day. */
static void months_end_where_the_calendar_says(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 20000; round++) {
        struct shelf_life_case asked = nothing_known();
        struct shelf_life_answer answer;
        struct rule_fault fault;
        int year, month, day, end_year, end_month, end_day;
        asked.made.number = asked.today.number - random_below(&seed, 20000);
        asked.life.months = random_below(&seed, 400);
        assert_true(ask(&asked, &answer, &fault));
        calendar_split(asked.made, &year, &month, &day);
        calendar_split(answer.expires, &end_year, &end_month, &end_day);
        assert_int_equal(end_year * 12 + end_month, year * 12 + month + asked.life.months);
        const int last = calendar_days_in_month(end_year, end_month);
        assert_int_equal(end_day, day < last ? day : last);
        assert_int_equal(answer.days_left, answer.expires.number - asked.today.number);
    }
}

/* Whatever is known: the earliest rules, and is the first of those that are as early. */
static void the_earliest_date_rules(void **state)
{
    static const char *const words[] = {"label", "made", "opened"};
    uint64_t seed = 2;
    (void)state;
    for (int round = 0; round < 20000; round++) {
        struct shelf_life_case asked = nothing_known();
        struct shelf_life_answer answer;
        struct rule_fault fault;
        int dates[3], best = -1;
        for (int i = 0; i < 3; i++)
            dates[i] = random_below(&seed, 3) ? asked.today.number + random_below(&seed, 5) - 2 : INT32_MAX;
        if (dates[0] != INT32_MAX)
            asked.expires.number = dates[0];
        if (dates[1] != INT32_MAX) {
            asked.made.number = asked.today.number - 10;
            asked.life.days = dates[1] - asked.made.number;
        }
        if (dates[2] != INT32_MAX) {
            asked.opened.number = asked.today.number - 5;
            asked.open_life.days = dates[2] - asked.opened.number;
        }
        for (int i = 0; i < 3; i++)
            if (dates[i] != INT32_MAX && (best < 0 || dates[i] < dates[best]))
                best = i;
        assert_true(ask(&asked, &answer, &fault));
        if (best < 0) {
            assert_false(rule_has_day(answer.expires));
            assert_true(answer.expired == TRUTH_NULL && answer.said.unknown_count > 0);
            continue;
        }
        assert_int_equal(answer.expires.number, dates[best]);
        assert_string_equal(answer.limited_by, words[best]);
        assert_int_equal(answer.expired, dates[best] < asked.today.number ? TRUTH_YES : TRUTH_NO);
    }
}

/* Every century of the calendar, from its first day to its last. */
static void no_supplier_date_leaves_the_calendar(void **state)
{
    (void)state;
    for (int year = CALENDAR_FIRST_YEAR; year <= CALENDAR_LAST_YEAR; year++)
        for (int digits = 0; digits < 100; digits++) {
            const char text[7] = {(char)('0' + digits / 10), (char)('0' + digits % 10), '0', '7', '0', '0', '\0'};
            struct shelf_life_case asked = nothing_known();
            struct shelf_life_answer answer;
            struct rule_fault fault;
            int end_year, month, day;
            asked.today = calendar_day(year, 7, 1);
            asked.gs1_date = text;
            if (!ask(&asked, &answer, &fault)) {
                assert_int_equal(fault.code, RULE_RANGE);
                assert_true(year < CALENDAR_FIRST_YEAR + 50 || year > CALENDAR_LAST_YEAR - 50);
                continue;
            }
            calendar_split(answer.expires, &end_year, &month, &day);
            assert_true(end_year % 100 == digits && end_year >= year - 49 && end_year <= year + 50 && day == 31);
        }
}

static void a_life_ends_in_2999_or_is_refused(void **state)
{
    const struct day last = calendar_day(2999, 12, 31);
    struct shelf_life_case asked = nothing_known();
    struct shelf_life_answer answer;
    struct rule_fault fault;
    (void)state;
    asked.made = calendar_day(1900, 1, 31);
    asked.life.months = 12 * 1100 - 1;
    assert_true(ask(&asked, &answer, &fault));
    assert_int_equal(answer.expires.number, last.number);
    asked.life.months++;
    assert_false(ask(&asked, &answer, &fault));
    assert_string_equal(fault.key, "life_months");
    asked.life = (struct shelf_life_span){RULE_NO_COUNT, last.number - asked.made.number};
    assert_true(ask(&asked, &answer, &fault));
    asked.life.days++;
    assert_false(ask(&asked, &answer, &fault));
    assert_string_equal(fault.key, "life_days");
    assert_int_equal(fault.code, RULE_RANGE);
}

/* The counter asks of a date alone: the same answer, without a sentence. */
/* The bound that a database counts by and the answer are one rule. */
static void days_from_the_first_usable_on_are_not_expired(void **state)
{
    (void)state;
    for (int32_t today = 20000; today < 20400; today += 7) {
        const struct day first = shelf_life_first_usable((struct day){today});
        for (int32_t expires = today - 40; expires < today + 40; expires++)
            assert_int_equal(shelf_life_of((struct day){expires}, (struct day){today}, 0).expired,
                             expires < first.number ? TRUTH_YES : TRUTH_NO);
    }
}

static void of_a_date_alone_the_answer_is_the_same(void **state)
{
    const struct day expires = calendar_day(2026, 11, 30);
    (void)state;
    for (int days = -3; days <= 3; days++) {
        struct shelf_life_case asked = nothing_known();
        struct shelf_life_answer answer;
        struct rule_fault fault;
        asked.expires = expires;
        asked.today.number = expires.number + days;
        asked.minimum_days = 2;
        assert_true(ask(&asked, &answer, &fault));
        const struct shelf_life_answer alone = shelf_life_of(expires, asked.today, 2);
        assert_int_equal(alone.expires.number, answer.expires.number);
        assert_int_equal(alone.lot_expires.number, answer.lot_expires.number);
        assert_int_equal(alone.days_left, answer.days_left);
        assert_int_equal(alone.expired, answer.expired);
        assert_int_equal(alone.short_dated, answer.short_dated);
        assert_string_equal(alone.limited_by, answer.limited_by);
    }
    const struct shelf_life_answer unknown = shelf_life_of(RULE_NO_DAY, expires, 2);
    assert_int_equal(unknown.expired, TRUTH_NULL);
    assert_int_equal(unknown.short_dated, TRUTH_NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_from_the_first_usable_on_are_not_expired),
        cmocka_unit_test(of_a_date_alone_the_answer_is_the_same),
        cmocka_unit_test(months_end_where_the_calendar_says),
        cmocka_unit_test(the_earliest_date_rules),
        cmocka_unit_test(no_supplier_date_leaves_the_calendar),
        cmocka_unit_test(a_life_ends_in_2999_or_is_refused),
    };
    return cmocka_run_group_tests_name("rules/shelf_life", tests, NULL, NULL);
}
