#include "kiosk/rules/substitution.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/rules/check_out.h"
#include "kiosk/rules/pour.h"

/* Which revision may stand in for which: common practice of the trade, no source. */

enum { TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

static const struct substitution_row rows[] = {
    {.resin = "Flint", .wanted = "2", .given = "3", .approver = "Maren", .until = {TODAY}},
    {.resin = "Flint", .wanted = "3", .given = "4", .approver = "Maren", .until = {TODAY + 30}},
    {.resin = "Flint", .wanted = "1", .given = "2", .approver = "Jarl", .until = {TODAY - 1}},
    {.resin = "Flint", .wanted = "7", .given = "8", .approver = "Jarl", .until = {TODAY}, .ended = true},
    {.resin = "Oak", .wanted = "1", .given = "2", .approver = "Maren", .until = {TODAY + 30}},
};
static const struct substitution_table table = {rows, sizeof rows / sizeof *rows};

static struct substitution_case of(const char *resin, const char *wanted, const char *given)
{
    return (struct substitution_case){
        .table = &table, .resin = resin, .wanted = wanted, .given = given, .today = {TODAY}, .clock_trusted = true};
}

static enum substitution_answer judge(const char *resin, const char *wanted, const char *given)
{
    const struct substitution_case asked = of(resin, wanted, given);
    return substitution_judge(&asked, NULL);
}

static void a_row_counts_one_way_and_for_its_resin(void **state)
{
    (void)state;
    assert_int_equal(judge("Flint", "2", "3"), SUBSTITUTION_GO);
    assert_int_equal(judge("Flint", "3", "2"), SUBSTITUTION_NONE);
    assert_int_equal(judge("Oak", "2", "3"), SUBSTITUTION_NONE);
    assert_int_equal(judge("Oak", "1", "2"), SUBSTITUTION_GO);
}

static void two_rows_make_no_third(void **state)
{
    (void)state;
    assert_int_equal(judge("Flint", "3", "4"), SUBSTITUTION_GO);
    assert_int_equal(judge("Flint", "2", "4"), SUBSTITUTION_NONE);
}

static void it_counts_through_its_last_day(void **state)
{
    struct substitution_case asked = of("Flint", "2", "3");
    const struct substitution_row *row = NULL;
    (void)state;
    for (int day = TODAY - 1; day <= TODAY + 1; day++) {
        asked.today.number = day;
        assert_int_equal(substitution_judge(&asked, &row), day <= TODAY ? SUBSTITUTION_GO : SUBSTITUTION_OVER);
        assert_ptr_equal(row, &rows[0]);
    }
}

static void with_a_clock_nobody_vouched_for_it_is_asked(void **state)
{
    struct substitution_case asked = of("Flint", "2", "3");
    (void)state;
    asked.clock_trusted = false;
    assert_int_equal(substitution_judge(&asked, NULL), SUBSTITUTION_ASK);
    asked.today.number = TODAY + 400; /* perhaps it is not that late */
    assert_int_equal(substitution_judge(&asked, NULL), SUBSTITUTION_ASK);
    asked = of("Flint", "7", "8"); /* that somebody ended it is no matter of clocks */
    asked.clock_trusted = false;
    assert_int_equal(substitution_judge(&asked, NULL), SUBSTITUTION_OVER);
}

static void what_is_unknown_has_no_row_and_an_empty_room_none_at_all(void **state)
{
    static const struct substitution_row unknown[] = {
        {.resin = "Flint", .wanted = "", .given = "3", .approver = "", .until = {TODAY}}};
    const struct substitution_table wrong = {unknown, 1};
    struct substitution_case asked = of("Flint", "", "3");
    (void)state;
    asked.table = &wrong;
    assert_int_equal(substitution_judge(&asked, NULL), SUBSTITUTION_NONE);
    asked = of("Flint", "2", "3");
    asked.table = NULL;
    assert_int_equal(substitution_judge(&asked, NULL), SUBSTITUTION_NONE);
}

static void the_person_reads_what_stands_in_until_when_and_by_whose_word(void **state)
{
    struct substitution_case asked = of("Flint", "2", "3");
    struct verdict_list list = {.verdict = VERDICT_GO};
    char over[SUBSTITUTION_OVER_SIZE];
    (void)state;
    assert_true(substitution_add(&asked, "C1", &list, over));
    assert_int_equal(list.verdict, VERDICT_GO);
    assert_int_equal(list.count, 1);
    assert_string_equal(list.reasons[0].sentence,
                        "Flint: revision 3 stands in for 2 until 2026-03-02 (approved by Maren).");
    asked.clock_trusted = false;
    assert_true(substitution_add(&asked, "C1", &list, over));
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_non_null(strstr(list.reasons[1].sentence, "clock is not confirmed: Flint revision 3 stands in for 2 until"));
    asked = of("Flint", "1", "2");
    assert_false(substitution_add(&asked, "C1", &list, over));
    assert_string_equal(over, " The substitution ended on 2026-03-01.");
    asked = of("Flint", "2", "1");
    assert_false(substitution_add(&asked, "C1", &list, over));
    assert_string_equal(over, "");
    assert_int_equal(list.count, 2);
}

/* ---- in the verdicts ---- */

static struct check_out_thing thing(const char *serial, const char *revision)
{
    return (struct check_out_thing){.serial = serial,
                                    .letter = serial[0],
                                    .name = "thing",
                                    .in = true,
                                    .holder_name = "",
                                    .where = "",
                                    .hold = "",
                                    .film = "",
                                    .resin = "Flint",
                                    .revision = revision,
                                    .fits = "",
                                    .has_expires = true,
                                    .expires = {TODAY + 100}};
}

static void expect(const struct verdict_list *list, enum verdict verdict, enum reason_code code)
{
    if (list->verdict != verdict || list->count != 1 || list->reasons[0].code != code)
        fail_msg("%s, %zu reasons: %s", verdict_word(list->verdict), list->count,
                 list->count ? list->reasons[0].sentence : "");
}

/* `comes` to a printer where `inside` is, or both together. */
static struct verdict_list check_out(const char *comes, const char *revision, const char *other,
                                     const char *other_revision, bool inside)
{
    const struct check_out_thing things[] = {thing(comes, revision), thing(other, other_revision)};
    struct verdict_list list;
    check_out_judge(&(struct check_out_case){.things = things,
                                             .thing_count = inside ? 1 : 2,
                                             .inside = &things[1],
                                             .inside_count = inside ? 1 : 0,
                                             .printer = "SEXTANT",
                                             .printer_name = "Sextant",
                                             .slots = 2,
                                             .substitutions = &table,
                                             .today = {TODAY},
                                             .clock_trusted = true},
                    &list);
    return list;
}

static void what_comes_to_a_printer_stands_in_for_what_is_there(void **state)
{
    (void)state;
    struct verdict_list list = check_out("C1", "3", "V1", "2", true);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("C1", "3", "C2", "2", true);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("V1", "3", "C1", "2", true);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("C1", "2", "V1", "3", true);
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    list = check_out("V1", "2", "C1", "3", true);
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    list = check_out("C1", "2", "V1", "1", true); /* over since yesterday */
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    assert_non_null(strstr(list.reasons[0].sentence, "holds revision 1. The substitution ended on 2026-03-01."));
}

static void of_two_that_go_together_the_vat_is_there_and_of_two_cartridges_either(void **state)
{
    (void)state;
    struct verdict_list list = check_out("V1", "2", "C1", "3", false);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("C1", "3", "V1", "2", false);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("V1", "3", "C1", "2", false);
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    list = check_out("C1", "2", "V1", "3", false);
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    list = check_out("C1", "2", "C2", "3", false);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("C1", "3", "C2", "2", false);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = check_out("C1", "2", "C2", "4", false);
    assert_int_equal(list.verdict, VERDICT_STOP);
    list = check_out("C1", "1", "C2", "2", false); /* over, seen from either */
    assert_non_null(strstr(list.reasons[0].sentence, "ended on 2026-03-01."));
    list = check_out("C1", "2", "C2", "1", false);
    assert_non_null(strstr(list.reasons[0].sentence, "ended on 2026-03-01."));
}

static struct verdict_list pour(const char *from_revision, const char *to_revision, bool trusted)
{
    const struct check_out_thing from = thing("C1", from_revision), to = thing("V1", to_revision);
    struct verdict_list list;
    pour_judge(&(struct pour_case){.from = &from,
                                   .to = &to,
                                   .from_ul = 1000000,
                                   .to_ul = 200000,
                                   .room_ul = 1000000,
                                   .amount_ul = 300000,
                                   .substitutions = &table,
                                   .today = {TODAY},
                                   .clock_trusted = trusted},
               &list);
    return list;
}

static void what_is_poured_stands_in_for_what_is_in_the_vat(void **state)
{
    (void)state;
    struct verdict_list list = pour("3", "2", true);
    expect(&list, VERDICT_GO, REASON_SUBSTITUTED);
    list = pour("2", "3", true);
    expect(&list, VERDICT_STOP, REASON_OTHER_REVISION);
    list = pour("8", "7", false); /* ended; the resin's own date is asked about */
    assert_int_equal(list.verdict, VERDICT_STOP);
    list = pour("3", "2", false);
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_int_equal(list.reasons[1].code, REASON_SUBSTITUTION_CLOCK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_counts_one_way_and_for_its_resin),
        cmocka_unit_test(two_rows_make_no_third),
        cmocka_unit_test(it_counts_through_its_last_day),
        cmocka_unit_test(with_a_clock_nobody_vouched_for_it_is_asked),
        cmocka_unit_test(what_is_unknown_has_no_row_and_an_empty_room_none_at_all),
        cmocka_unit_test(the_person_reads_what_stands_in_until_when_and_by_whose_word),
        cmocka_unit_test(what_comes_to_a_printer_stands_in_for_what_is_there),
        cmocka_unit_test(of_two_that_go_together_the_vat_is_there_and_of_two_cartridges_either),
        cmocka_unit_test(what_is_poured_stands_in_for_what_is_in_the_vat),
    };
    return cmocka_run_group_tests_name("rules/substitution", tests, NULL, NULL);
}
