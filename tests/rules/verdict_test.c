#include "kiosk/rules/verdict.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* The verdicts are common practice of the trade, no source. */

static void no_reason_is_go(void **state)
{
    const struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    assert_int_equal((enum verdict)0, VERDICT_GO); /* a cleared list */
    assert_string_equal(verdict_word(list.verdict), "go");
}

static void the_worst_reason_makes_the_verdict_in_any_order(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    verdict_add(&list, REASON_FILM_FOGGED, "V1", "fogged");
    assert_int_equal(list.verdict, VERDICT_ASK);
    verdict_add(&list, REASON_EXPIRED, "C1", "expired");
    assert_int_equal(list.verdict, VERDICT_STOP);
    verdict_add(&list, REASON_CLOCK, "C2", "clock");
    assert_int_equal(list.verdict, VERDICT_STOP);
    assert_int_equal(list.count, 3);
}

static void one_code_about_one_subject_is_said_once(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    verdict_add(&list, REASON_OTHER_RESIN, "V1", "against one");
    verdict_add(&list, REASON_OTHER_RESIN, "V1", "against another");
    assert_int_equal(list.count, 1);
    assert_string_equal(list.reasons[0].sentence, "against one");
    verdict_add(&list, REASON_OTHER_RESIN, "V2", "another thing");
    verdict_add(&list, REASON_OTHER_REVISION, "V1", "another code");
    assert_int_equal(list.count, 3);
}

static void a_full_list_keeps_the_worst_verdict_and_its_reason(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    char subject[8];
    bool stop_is_there = false;
    (void)state;
    for (int i = 0; i < VERDICT_REASONS + 3; i++) {
        (void)snprintf(subject, sizeof subject, "C%d", i);
        verdict_add(&list, REASON_CLOCK, subject, "dated");
    }
    assert_int_equal(list.count, VERDICT_REASONS);
    assert_true(list.cut);
    assert_int_equal(list.verdict, VERDICT_ASK);
    verdict_add(&list, REASON_EXPIRED, "C99", "expired");
    assert_int_equal(list.verdict, VERDICT_STOP);
    for (size_t i = 0; i < list.count; i++)
        stop_is_there = stop_is_there || list.reasons[i].code == REASON_EXPIRED;
    assert_true(stop_is_there);
    assert_int_equal(list.count, VERDICT_REASONS);
    verdict_add(&list, REASON_CLOCK, "C77", "one ask more");
    assert_int_equal(list.verdict, VERDICT_STOP);
}

static void a_full_list_of_stops_takes_no_more(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    char subject[8];
    (void)state;
    for (int i = 0; i < VERDICT_REASONS + 1; i++) {
        (void)snprintf(subject, sizeof subject, "C%d", i);
        verdict_add(&list, REASON_EXPIRED, subject, "expired");
    }
    assert_true(list.cut);
    assert_string_equal(list.reasons[VERDICT_REASONS - 1].subject, "C23");
}

static void a_long_sentence_ends_at_a_whole_character(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    char name[REASON_SENTENCE_SIZE + 20];
    (void)state;
    for (size_t i = 0; i + 2 < sizeof name; i += 2)
        memcpy(name + i, "\xC3\xA9", 2); /* é */
    name[sizeof name - 2] = '\0';
    verdict_add(&list, REASON_UNKNOWN, "C1", "x%s", name);
    const size_t length = strlen(list.reasons[0].sentence);
    assert_true(length < REASON_SENTENCE_SIZE);
    assert_int_equal(length % 2, 1); /* x and whole characters of two bytes */
}

static void every_code_has_a_word_of_its_own_and_a_next_step(void **state)
{
    (void)state;
    for (int code = 0; code < REASON_CODES; code++) {
        struct verdict_list list = {.verdict = VERDICT_GO};
        verdict_add(&list, (enum reason_code)code, "X", "sentence");
        /* a reason never means go, but for the one that is only to be read */
        assert_true((list.verdict != VERDICT_GO) == (code != REASON_SUBSTITUTED));
        assert_int_equal(list.verdict, reason_verdict((enum reason_code)code));
        assert_true(strlen(list.reasons[0].next) > 10);
        for (int other = 0; other < code; other++)
            assert_string_not_equal(reason_code_word((enum reason_code)code),
                                    reason_code_word((enum reason_code)other));
    }
}

static void a_stop_may_be_overruled_when_each_of_its_reasons_may(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    (void)state;
    assert_false(verdict_may_be_overruled(&list)); /* there is nothing to overrule */
    verdict_add(&list, REASON_CLOCK, "C1", "an ask is answered, not overruled");
    assert_false(verdict_may_be_overruled(&list));
    verdict_add(&list, REASON_EXPIRED, "C1", "expired");
    verdict_add(&list, REASON_NOT_TRAINED, "", "not trained");
    assert_true(verdict_may_be_overruled(&list));
    assert_null(verdict_hindrance(&list));
    verdict_add(&list, REASON_OTHER_RESIN, "C1", "never mixed");
    assert_false(verdict_may_be_overruled(&list));
    assert_int_equal(verdict_hindrance(&list)->code, REASON_OTHER_RESIN);
}

/* Not even when it comes last into a list that is full, and never what nobody has read. */
static void a_full_list_hides_nothing_from_who_overrules(void **state)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    char subject[8];
    (void)state;
    for (int i = 0; i < VERDICT_REASONS; i++) {
        (void)snprintf(subject, sizeof subject, "C%d", i);
        verdict_add(&list, REASON_EXPIRED, subject, "expired");
    }
    assert_true(verdict_may_be_overruled(&list));
    verdict_add(&list, REASON_EXPIRED, "C98", "one that is not shown");
    assert_false(verdict_may_be_overruled(&list));
    assert_null(verdict_hindrance(&list));
    verdict_add(&list, REASON_GONE, "C99", "gone");
    assert_int_equal(verdict_hindrance(&list)->code, REASON_GONE);
}

/* Resins of two types are never mixed, whoever says so; what is a matter of judgement a storekeeper decides. */
static void the_table_lets_no_lie_and_no_mixing_be_overruled(void **state)
{
    static const enum reason_code never[] = {REASON_UNKNOWN,    REASON_NOT_OURS,          REASON_GONE,
                                             REASON_EMPTY,      REASON_ALREADY_OUT,       REASON_OTHER_RESIN,
                                             REASON_WEIGHT,     REASON_CARTRIDGES_DIFFER, REASON_NOT_ALLOWED,
                                             REASON_STILL_FULL, REASON_ITEM_INCOMPLETE};
    static const enum reason_code judged[] = {REASON_EXPIRED,    REASON_ON_HOLD,        REASON_NOT_INSPECTED,
                                              REASON_TOO_LITTLE, REASON_OTHER_REVISION, REASON_NOT_TRAINED};
    (void)state;
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        assert_int_equal(reason_overruler(never[i]), OVERRULER_NONE);
    for (size_t i = 0; i < sizeof judged / sizeof *judged; i++)
        assert_int_equal(reason_overruler(judged[i]), OVERRULER_STOREKEEPER);
    for (int code = 0; code < REASON_CODES; code++) /* an ask is answered by whoever stands there */
        if (reason_verdict((enum reason_code)code) != VERDICT_STOP)
            assert_int_equal(reason_overruler((enum reason_code)code), OVERRULER_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_reason_is_go),
        cmocka_unit_test(the_worst_reason_makes_the_verdict_in_any_order),
        cmocka_unit_test(one_code_about_one_subject_is_said_once),
        cmocka_unit_test(a_full_list_keeps_the_worst_verdict_and_its_reason),
        cmocka_unit_test(a_full_list_of_stops_takes_no_more),
        cmocka_unit_test(a_long_sentence_ends_at_a_whole_character),
        cmocka_unit_test(every_code_has_a_word_of_its_own_and_a_next_step),
        cmocka_unit_test(a_stop_may_be_overruled_when_each_of_its_reasons_may),
        cmocka_unit_test(a_full_list_hides_nothing_from_who_overrules),
        cmocka_unit_test(the_table_lets_no_lie_and_no_mixing_be_overruled),
    };
    return cmocka_run_group_tests_name("rules/verdict", tests, NULL, NULL);
}
