#include "kiosk/rules/older_first.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* First expired, first out: common practice of the trade, no source. Amounts are full ones of 1000 ml unless a test
 * says less; all were weighed, so that 967 ml of 1000 count as sure, and 1083 ml of a need of 1000 as its most. */

enum { TODAY = 20514, ML = 1000, ARENA = 1 << 20 }; /* 2026-03-02, GNU date 9.1 */

static struct older_first_one one(const char *serial, int days, int ml)
{
    return (struct older_first_one){
        .serial = serial, .place = "A03", .use_by = {TODAY + days}, .amount_ul = ml * ML, .opened = ml < 1000};
}

struct group {
    struct older_first_one asked[4], stored[OLDER_FIRST_STORED];
    size_t asked_count, stored_count;
    int64_t need_ml; /* 0: nobody knows */
    int64_t slots;
};

/* Who should go instead of each that was asked for, in order, "-" where it may go. */
static void expect(const struct group *group, const char *const *instead, size_t count)
{
    struct older_first_answer answer;
    struct arena arena;
    void *memory = malloc(ARENA);
    assert_non_null(memory);
    assert_int_equal(count, group->asked_count);
    arena_init(&arena, memory, ARENA);
    older_first(&(struct older_first_case){.resin = "Flint",
                                           .asked = group->asked,
                                           .asked_count = group->asked_count,
                                           .stored = group->stored,
                                           .stored_count = group->stored_count,
                                           .need_ul = group->need_ml ? group->need_ml * ML : OLDER_FIRST_UNKNOWN,
                                           .slots = group->slots ? group->slots : 1,
                                           .job_end = {TODAY}},
                &arena, &answer);
    for (size_t i = 0; i < count; i++) {
        const char *found = answer.instead[i] ? answer.instead[i]->serial : "-";
        if (strcmp(found, instead[i]) != 0)
            fail_msg("instead of %s: %s, not %s", group->asked[i].serial, found, instead[i]);
    }
    free(memory);
}
#define EXPECT(group, ...)                                                                                             \
    expect(group, (const char *const[]){__VA_ARGS__}, sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))

static void the_earliest_goes_first_while_nobody_knows_the_need(void **state)
{
    const struct group group = {
        {one("C1", 90, 1000)}, {one("C2", 60, 1000), one("C3", 30, 200)}, 1, 2, .need_ml = 0, .slots = 1};
    (void)state;
    EXPECT(&group, "C3");
}

static void one_of_the_same_day_or_later_is_no_reason(void **state)
{
    const struct group group = {
        {one("C2", 90, 1000)}, {one("C1", 90, 1000), one("C3", 91, 1000)}, 1, 2, .need_ml = 0, .slots = 1};
    (void)state;
    EXPECT(&group, "-");
}

static void of_two_the_latest_waits_for_the_oldest(void **state)
{
    const struct group group = {
        {one("C1", 60, 1000), one("C2", 90, 1000)}, {one("C3", 30, 1000)}, 2, 1, .need_ml = 0, .slots = 2};
    const struct group both = {{one("C1", 60, 1000), one("C2", 90, 1000)},
                               {one("C3", 30, 1000), one("C4", 40, 1000)},
                               2,
                               2,
                               .need_ml = 0,
                               .slots = 2};
    (void)state;
    EXPECT(&group, "-", "C3");
    EXPECT(&both, "C4", "C3");
}

/* One slot: the rest of 200 ml would have to be changed during the job. */
static void an_older_one_that_is_not_enough_for_the_job_does_not_go_first(void **state)
{
    struct group group = {{one("C1", 90, 1000)}, {one("C2", 30, 200)}, 1, 1, .need_ml = 500, .slots = 1};
    (void)state;
    EXPECT(&group, "-");
    group.need_ml = 150;
    EXPECT(&group, "C2");
}

static void the_older_one_that_is_enough_goes_first(void **state)
{
    const struct group group = {
        {one("C1", 90, 1000)}, {one("C2", 30, 200), one("C3", 60, 1000)}, 1, 2, .need_ml = 500, .slots = 1};
    (void)state;
    EXPECT(&group, "C3");
}

static void who_has_enough_in_one_is_not_sent_for_two(void **state)
{
    struct group group = {
        {one("C1", 90, 1000)}, {one("C2", 30, 300), one("C3", 40, 300)}, 1, 2, .need_ml = 500, .slots = 2};
    (void)state;
    EXPECT(&group, "-");
    group.asked[0].amount_ul = 400 * ML; /* not enough alone, so two it is: the older ones */
    EXPECT(&group, "C2");
}

/* Both are needed, and the first is drawn first. */
static void of_two_that_the_job_needs_the_older_is_loaded_first(void **state)
{
    struct group group = {{one("C1", 90, 1000)}, {one("C2", 60, 1000)}, 1, 1, .need_ml = 1500, .slots = 1};
    (void)state;
    EXPECT(&group, "C2");
    group.asked[1] = one("C2", 60, 1000);
    group.asked_count = 2;
    group.stored_count = 0;
    EXPECT(&group, "-", "-");
}

/* Opened before sealed: the plan opens no cartridge without need, even an older one. */
static void an_opened_one_goes_before_a_sealed_one_that_is_older(void **state)
{
    struct group group = {{one("C1", 90, 600)}, {one("C2", 60, 1000)}, 1, 1, .need_ml = 400, .slots = 1};
    (void)state;
    EXPECT(&group, "-");
    group.need_ml = 0;
    EXPECT(&group, "C2");
}

static void what_nobody_knows_the_amount_of_is_ordered_by_day(void **state)
{
    struct group group = {{one("C1", 90, 1000)}, {one("C2", 30, 1000)}, 1, 1, .need_ml = 500, .slots = 1};
    (void)state;
    group.asked[0].amount_ul = OLDER_FIRST_UNKNOWN;
    EXPECT(&group, "C2");
    group.asked[0].amount_ul = 1000 * ML;
    group.stored[0].amount_ul = OLDER_FIRST_UNKNOWN; /* perhaps it is empty: the plan does not count on it */
    EXPECT(&group, "-");
}

static void a_need_that_nothing_holds_or_that_is_too_large_to_plan_is_ordered_by_day(void **state)
{
    struct group group = {{one("C1", 90, 1000)}, {one("C2", 30, 100)}, 1, 1, .need_ml = 2000, .slots = 1};
    (void)state;
    EXPECT(&group, "C2");
    group.need_ml = 900000;
    EXPECT(&group, "C2");
}

static struct check_out_thing stored(void)
{
    return (struct check_out_thing){.serial = "C1",
                                    .letter = 'C',
                                    .name = "Flint cartridge",
                                    .in = true,
                                    .hold = "",
                                    .fits = "SEXTANT HALYARD",
                                    .has_expires = true,
                                    .expires = {TODAY}};
}

static void only_what_may_go_out_itself_is_proposed(void **state)
{
    const struct day today = {TODAY};
    struct check_out_thing thing = stored();
    (void)state;
    assert_true(older_first_usable(&thing, true, 5, today, "HALYARD"));
    assert_true(older_first_usable(&thing, true, OLDER_FIRST_UNKNOWN, today, NULL));
    assert_false(older_first_usable(&thing, true, 5, today, "CAPSTAN"));
    assert_false(older_first_usable(&thing, false, 5, today, "HALYARD"));
    assert_false(older_first_usable(&thing, true, 0, today, "HALYARD"));
    thing.hold = "leaking";
    assert_false(older_first_usable(&thing, true, 5, today, "HALYARD"));
    thing = stored();
    thing.in = false;
    assert_false(older_first_usable(&thing, true, 5, today, "HALYARD"));
    thing = stored();
    thing.expires.number = TODAY - 1;
    assert_false(older_first_usable(&thing, true, 5, today, "HALYARD"));
    thing = stored();
    thing.has_expires = false;
    assert_false(older_first_usable(&thing, true, 5, today, "HALYARD"));
}

static void the_sentence_says_which_where_and_both_days(void **state)
{
    const struct older_first_one asked[] = {one("C1", 90, 1000), one("C2", 90, 1000)};
    struct older_first_one older = one("C3", 30, 1000);
    struct older_first_case asking = {.resin = "Flint", .asked = asked, .asked_count = 1, .slots = 1};
    struct older_first_answer answer = {{&older}};
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    older_first_judge(&asking, &answer, &list);
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_int_equal(list.reasons[0].code, REASON_OLDER_FIRST);
    assert_string_equal(list.reasons[0].subject, "C1");
    assert_string_equal(list.reasons[0].sentence,
                        "An older Flint stands at A03: C3, use by 2026-04-01 (this one: 2026-05-31).");
    assert_string_equal(list.reasons[0].next, "take that one first; this one all the same: the printer, then YES");
    older.place = "";
    asking.asked_count = 2;
    list = (struct verdict_list){.verdict = VERDICT_GO};
    older_first_judge(&asking, &answer, &list);
    assert_int_equal(list.count, 1);
    assert_string_equal(list.reasons[0].sentence,
                        "An older Flint is not put away yet: C3, use by 2026-04-01 (C1: 2026-05-31).");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_earliest_goes_first_while_nobody_knows_the_need),
        cmocka_unit_test(one_of_the_same_day_or_later_is_no_reason),
        cmocka_unit_test(of_two_the_latest_waits_for_the_oldest),
        cmocka_unit_test(an_older_one_that_is_not_enough_for_the_job_does_not_go_first),
        cmocka_unit_test(the_older_one_that_is_enough_goes_first),
        cmocka_unit_test(who_has_enough_in_one_is_not_sent_for_two),
        cmocka_unit_test(of_two_that_the_job_needs_the_older_is_loaded_first),
        cmocka_unit_test(an_opened_one_goes_before_a_sealed_one_that_is_older),
        cmocka_unit_test(what_nobody_knows_the_amount_of_is_ordered_by_day),
        cmocka_unit_test(a_need_that_nothing_holds_or_that_is_too_large_to_plan_is_ordered_by_day),
        cmocka_unit_test(only_what_may_go_out_itself_is_proposed),
        cmocka_unit_test(the_sentence_says_which_where_and_both_days),
    };
    return cmocka_run_group_tests_name("rules/older_first", tests, NULL, NULL);
}
