#include "kiosk/rules/job_match.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Common practice, no source. */

static const struct check_out_thing flint2 = {.serial = "C000001X", .letter = 'C', .resin = "Flint", .revision = "2"},
                                    flint3 = {.serial = "C0000026", .letter = 'C', .resin = "Flint", .revision = "3"},
                                    oak = {.serial = "V0001236", .letter = 'V', .resin = "Oak", .revision = ""},
                                    empty = {.serial = "P000004R", .letter = 'P', .resin = "", .revision = ""};

static struct job_match_case case_of(const struct check_out_thing *things, size_t count)
{
    return (struct job_match_case){.job = "KQ-1042",
                                   .resin = "Flint",
                                   .revision = "2",
                                   .prepared_for = "CAPSTAN",
                                   .prepared_for_name = "Capstan",
                                   .printer = "CAPSTAN",
                                   .printer_name = "Capstan",
                                   .running = "",
                                   .things = things,
                                   .thing_count = count};
}

static bool has(const struct verdict_list *list, enum reason_code code, const char *words)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code && strstr(list->reasons[i].sentence, words))
            return true;
    return false;
}

static void what_matches_is_not_spoken_against(void **state)
{
    const struct check_out_thing things[] = {flint2, empty};
    struct job_match_case asked = case_of(things, 2);
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    job_match_judge(&asked, &list);
    assert_int_equal(list.count, 0);
    asked.revision = ""; /* any will do */
    asked.things = &flint3;
    asked.thing_count = 1;
    asked.printer = asked.printer_name = ""; /* not said yet */
    job_match_judge(&asked, &list);
    asked.resin = "";
    asked.things = &oak;
    job_match_judge(&asked, &list);
    assert_int_equal(list.count, 0);
}

static void another_resin_or_revision_stops_wherever_it_is(void **state)
{
    struct job_match_case asked = case_of(&oak, 1);
    struct verdict_list list = {.verdict = VERDICT_GO}, inside = {.verdict = VERDICT_GO};
    (void)state;
    job_match_judge(&asked, &list);
    assert_true(has(&list, REASON_OTHER_RESIN, "Job KQ-1042 is for Flint; V0001236 holds Oak."));
    assert_int_equal(list.verdict, VERDICT_STOP);
    assert_string_equal(list.reasons[0].subject, "KQ-1042");
    asked = case_of(NULL, 0);
    asked.inside = &flint3;
    asked.inside_count = 1;
    job_match_judge(&asked, &inside);
    assert_true(has(&inside, REASON_OTHER_REVISION, "C0000026 in Capstan holds revision 3."));
    assert_int_equal(inside.verdict, VERDICT_STOP);
}

static void a_revision_that_stands_in_by_a_storekeepers_word_goes(void **state)
{
    const struct substitution_row row = {"Flint", "2", "3", "Maren", {20600}, false};
    const struct substitution_table table = {&row, 1};
    struct job_match_case asked = case_of(&flint3, 1);
    struct verdict_list list = {.verdict = VERDICT_GO}, late = {.verdict = VERDICT_GO};
    (void)state;
    asked.substitutions = &table;
    asked.today = (struct day){20600};
    asked.clock_trusted = true;
    job_match_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
    asked.today = (struct day){20601};
    job_match_judge(&asked, &late);
    assert_true(has(&late, REASON_OTHER_REVISION, "C0000026 holds revision 3."));
}

static void printer_running_job_and_old_paper_are_asked_about(void **state)
{
    struct job_match_case asked = case_of(&flint2, 1);
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    asked.printer = "HALYARD";
    asked.printer_name = "Halyard";
    asked.running = "KQ-1041";
    asked.ticket_is_old = true;
    job_match_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_true(has(&list, REASON_OTHER_PRINTER, "prepared for Capstan, not for Halyard"));
    assert_true(has(&list, REASON_JOB_RUNS, "Halyard runs job KQ-1041 by the books"));
    assert_true(has(&list, REASON_TICKET_OLD, "the newer plan counts"));
    assert_int_equal(list.count, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_matches_is_not_spoken_against),
        cmocka_unit_test(another_resin_or_revision_stops_wherever_it_is),
        cmocka_unit_test(a_revision_that_stands_in_by_a_storekeepers_word_goes),
        cmocka_unit_test(printer_running_job_and_old_paper_are_asked_about),
    };
    return cmocka_run_group_tests_name("rules/job_match", tests, NULL, NULL);
}
