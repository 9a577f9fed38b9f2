#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/rules/check_out_things.h"

/* What ends before the job does: days and rated hours. Common practice of the trade, no source. */

/* What goes out for a job that ends in so many days, and in so many minutes (below 0: nobody knows). */
static struct verdict_list judge_until(struct check_out_thing thing, int days, int64_t minutes, bool exact)
{
    struct check_out_case asked = things_to_capstan(&thing, 1);
    struct verdict_list list;
    asked.ends =
        (struct check_out_job_end){.known = true, .day = {THINGS_TODAY + days}, .minutes = minutes, .exact = exact};
    check_out_judge(&asked, &list);
    return list;
}

static void resin_that_must_be_used_before_the_job_ends_stops_on_any_day_but_the_last(void **state)
{
    struct check_out_thing one = things_cartridge("C1"), two = things_vat("V1");
    (void)state;
    one.expires.number = two.expires.number = THINGS_TODAY + 2;
    struct verdict_list list = judge_until(one, 3, -1, false);
    things_expect(&list, REASON_EXPIRES_IN_JOB, VERDICT_STOP,
                  "The Flint in C1 may be used until 2026-03-04, and the job ends on 2026-03-05.");
    list = judge_until(two, 3, -1, false);
    things_expect(&list, REASON_EXPIRES_IN_JOB, VERDICT_STOP, "The Flint in V1 may be used until 2026-03-04");
    list = judge_until(one, 2, -1, false);
    assert_int_equal(list.count, 0);
    list = things_judge_one(one); /* nobody knows when it ends */
    assert_int_equal(list.count, 0);
}

static void what_has_expired_already_or_holds_no_resin_does_not_expire_in_the_job(void **state)
{
    struct check_out_thing one = things_cartridge("C1"), platform = things_cartridge("P1");
    (void)state;
    one.expires.number = THINGS_TODAY - 1;
    struct verdict_list list = judge_until(one, 3, -1, false);
    things_expect(&list, REASON_EXPIRED, VERDICT_STOP, "C1 expired");
    platform.letter = 'P';
    platform.resin = "";
    platform.expires.number = THINGS_TODAY + 1;
    list = judge_until(platform, 3, -1, false);
    assert_int_equal(list.count, 0);
}

static struct check_out_thing worn_vat(int64_t hours, int64_t rated_hours)
{
    struct check_out_thing thing = things_vat("V1");
    thing.minutes = hours * 60;
    thing.life_minutes = rated_hours * 60;
    return thing;
}

static void a_film_that_will_be_worn_out_before_the_job_ends_is_asked_about(void **state)
{
    (void)state;
    struct verdict_list list = judge_until(worn_vat(117, 120), 0, 7 * 60, true);
    things_expect(&list, REASON_LIFE_ENDS, VERDICT_ASK,
                  "The film of V1 has 3 h of its rated 120 h left; the job ends in 7 h.");
    list = judge_until(worn_vat(117, 120), 3, 2880, false);
    things_expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "left; the job goes on until 2026-03-05.");
    list = judge_until(worn_vat(117, 120), 0, 3 * 60, true); /* just enough */
    assert_int_equal(list.count, 0);
    list = judge_until(worn_vat(117, 120), 0, -1, false); /* how long, nobody knows */
    assert_int_equal(list.count, 0);
    list = things_judge_one(worn_vat(117, 120));
    assert_int_equal(list.count, 0);
}

static void a_film_that_is_worn_out_is_asked_about_without_any_job(void **state)
{
    struct check_out_thing thing = worn_vat(121, 120);
    (void)state;
    struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "The film of V1 has run 121 h of its rated 120 h.");
    thing.minutes = 120 * 60;
    list = things_judge_one(thing);
    things_expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "has run 120 h of its rated 120 h");
    thing.minutes--;
    list = things_judge_one(thing);
    assert_int_equal(list.count, 0);
}

/* No hours are not 0 hours; a platform has a body, a cartridge wears nothing. */
static void hours_that_nobody_knows_or_a_rating_that_nobody_gave_say_nothing(void **state)
{
    struct check_out_thing thing = worn_vat(121, 120);
    (void)state;
    thing.minutes = INT64_MIN;
    struct verdict_list list = things_judge_one(thing);
    assert_int_equal(list.count, 0);
    thing = worn_vat(121, 0);
    list = things_judge_one(thing);
    assert_int_equal(list.count, 0);
    thing = worn_vat(121, 120);
    thing.letter = 'C';
    list = things_judge_one(thing);
    assert_int_equal(list.count, 0);
    thing.letter = 'P';
    list = things_judge_one(thing);
    things_expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "The body of V1 has run 121 h of its rated 120 h.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resin_that_must_be_used_before_the_job_ends_stops_on_any_day_but_the_last),
        cmocka_unit_test(what_has_expired_already_or_holds_no_resin_does_not_expire_in_the_job),
        cmocka_unit_test(a_film_that_will_be_worn_out_before_the_job_ends_is_asked_about),
        cmocka_unit_test(a_film_that_is_worn_out_is_asked_about_without_any_job),
        cmocka_unit_test(hours_that_nobody_knows_or_a_rating_that_nobody_gave_say_nothing),
    };
    return cmocka_run_group_tests_name("rules/check_out_end", tests, NULL, NULL);
}
