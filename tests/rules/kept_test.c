#include "kiosk/rules/kept.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Common practice of stores, no source. */

enum { TODAY = 20514 };

static const struct kept for_job = {
    .whom = "KQ-1042", .named = "job KQ-1042", .by = "Maren", .has_until = true, .until = {TODAY}};
static const struct kept for_person = {.whom = "H0000010", .named = "Tobias", .by = "", .is_person = true};
static const struct kept_asking job_and_person = {
    .person = "H0000010", .job = "KQ-1042", .job_known = true, .today = {TODAY}, .clock_trusted = true};

static const char *sentence(const struct kept *kept, const struct kept_asking *asking)
{
    static struct verdict_list list;
    list = (struct verdict_list){.verdict = VERDICT_GO};
    kept_judge("C9000038", kept, asking, &list);
    if (list.count == 0)
        return "";
    assert_int_equal(list.reasons[0].code, REASON_RESERVED);
    assert_int_equal(list.verdict, VERDICT_STOP);
    assert_string_equal(list.reasons[0].subject, "C9000038");
    return list.reasons[0].sentence;
}

static void whom_it_is_kept_for_takes_it(void **state)
{
    (void)state;
    assert_string_equal(sentence(&for_job, &job_and_person), "");
    assert_string_equal(sentence(&for_person, &job_and_person), "");
}

static void nobody_else_does(void **state)
{
    struct kept_asking asking = job_and_person;
    (void)state;
    asking.job = "KQ-1043";
    assert_string_equal(sentence(&for_job, &asking), "C9000038 is kept for job KQ-1042 until 2026-03-02 (by Maren).");
    asking.job = ""; /* a job without a code is another */
    assert_string_not_equal(sentence(&for_job, &asking), "");
    asking.person = "H0000029";
    assert_string_equal(sentence(&for_person, &asking), "C9000038 is kept for Tobias.");
}

static void what_is_not_said_yet_is_not_judged(void **state)
{
    struct kept_asking asking = job_and_person;
    (void)state;
    asking.job = "";
    asking.job_known = false;
    asking.person = "";
    assert_string_equal(sentence(&for_job, &asking), "");
    assert_string_equal(sentence(&for_person, &asking), "");
}

static void it_is_kept_through_its_last_day_and_no_longer(void **state)
{
    struct kept_asking asking = job_and_person;
    (void)state;
    asking.job = "KQ-1043";
    assert_true(kept_counts(&for_job, asking.today, true));
    asking.today.number = TODAY + 1;
    assert_false(kept_counts(&for_job, asking.today, true));
    assert_string_equal(sentence(&for_job, &asking), "");
    asking.clock_trusted = false; /* then nobody knows that the day is over */
    assert_string_not_equal(sentence(&for_job, &asking), "");
}

static void what_is_kept_for_nobody_is_anybodys(void **state)
{
    const struct kept nobody = {.whom = "", .named = "", .by = ""};
    (void)state;
    assert_string_equal(sentence(&nobody, &job_and_person), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whom_it_is_kept_for_takes_it),
        cmocka_unit_test(nobody_else_does),
        cmocka_unit_test(what_is_not_said_yet_is_not_judged),
        cmocka_unit_test(it_is_kept_through_its_last_day_and_no_longer),
        cmocka_unit_test(what_is_kept_for_nobody_is_anybodys),
    };
    return cmocka_run_group_tests_name("rules/kept", tests, NULL, NULL);
}
