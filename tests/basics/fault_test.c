#include "labels/basics/fault.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"

static void sets_code_and_sentence_and_answers_false(void **state)
{
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_false(fault_set(&fault, FAULT_MISSING, "shelf label '%s' is not known: scan it again", "A3-07"));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_string_equal(fault.text, "shelf label 'A3-07' is not known: scan it again");
}

static void takes_null_for_a_caller_who_does_not_care(void **state)
{
    (void)state;
    assert_false(fault_set(NULL, FAULT_INPUT, "%s", "anything"));
}

static void its_own_text_may_be_an_argument(void **state)
{
    struct fault fault = {FAULT_INPUT, "month 13 is not 01 to 12"};
    (void)state;
    assert_false(fault_set(&fault, FAULT_INPUT, "field 14D: %s", fault.text));
    assert_string_equal(fault.text, "field 14D: month 13 is not 01 to 12");
}

/* UTF-8, RFC 3629: U+2026 has three bytes. */
static void an_overlong_sentence_is_cut_between_characters(void **state)
{
    char text[FAULT_TEXT_SIZE * 2];
    (void)state;
    for (size_t lead = 0; lead < 4; lead++) {
        struct fault fault = {FAULT_NONE, ""};
        struct builder builder;
        builder_init(&builder, text, sizeof text);
        for (size_t i = 0; i < lead; i++)
            builder_add(&builder, "x");
        while (builder.length < FAULT_TEXT_SIZE + 10)
            builder_add(&builder, "…");
        assert_false(fault_set(&fault, FAULT_INPUT, "%s", text));
        assert_true(text_is_utf8(span_of(fault.text)));
        assert_true(strlen(fault.text) >= FAULT_TEXT_SIZE - 4 && strlen(fault.text) < FAULT_TEXT_SIZE);
    }
}

static void every_code_has_a_word_of_its_own(void **state)
{
    (void)state;
    for (int i = 0; i < FAULT_CODES; i++)
        for (int j = 0; j < i; j++)
            assert_string_not_equal(fault_code_word((enum fault_code)i), fault_code_word((enum fault_code)j));
    assert_string_equal(fault_code_word(FAULT_INPUT), "input");
    assert_string_equal(fault_code_word(FAULT_REFUSED), "refused");
    assert_string_equal(fault_code_word(FAULT_CODES), "unknown");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sets_code_and_sentence_and_answers_false),
        cmocka_unit_test(takes_null_for_a_caller_who_does_not_care),
        cmocka_unit_test(its_own_text_may_be_an_argument),
        cmocka_unit_test(an_overlong_sentence_is_cut_between_characters),
        cmocka_unit_test(every_code_has_a_word_of_its_own),
    };
    return cmocka_run_group_tests_name("basics/fault", tests, NULL, NULL);
}
