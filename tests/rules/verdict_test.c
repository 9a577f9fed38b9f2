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
        assert_true(list.verdict == VERDICT_ASK || list.verdict == VERDICT_STOP); /* a reason never means go */
        assert_int_equal(list.verdict, reason_verdict((enum reason_code)code));
        assert_true(strlen(list.reasons[0].next) > 10);
        for (int other = 0; other < code; other++)
            assert_string_not_equal(reason_code_word((enum reason_code)code),
                                    reason_code_word((enum reason_code)other));
    }
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
    };
    return cmocka_run_group_tests_name("rules/verdict", tests, NULL, NULL);
}
