#include "kiosk/rules/rule.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* By hand: three digits, none that say nothing, no exponents. */
static void numbers_in_sentences_have_three_digits(void **state)
{
    static const struct {
        double value;
        const char *text;
    } cases[] = {
        {0, "0"},
        {4, "4"},
        {1234, "1234"},
        {1234.6, "1235"},
        {123.4, "123"},
        {97.52, "97.5"},
        {-6.7142, "-6.71"},
        {0.6001, "0.6"},
        {0.01234, "0.012"},
        {1e-5, "less than 0.001"},
        {-1e-5, "not quite 0"},
        {9.9999, "10"},
        {99.96, "100"},
    };
    unsigned char memory[256];
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct arena arena;
        arena_init(&arena, memory, sizeof memory);
        assert_string_equal(rule_number(&arena, cases[i].value), cases[i].text);
    }
}

static void the_first_fault_counts(void **state)
{
    struct rule_fault fault = {0};
    (void)state;
    assert_false(rule_fault_set(&fault, RULE_DATE, "lots.2.expires", "no %s", "date"));
    assert_false(rule_fault_memory(&fault));
    assert_int_equal(fault.code, RULE_DATE);
    assert_string_equal(fault.key, "lots.2.expires");
    assert_string_equal(fault.text, "no date");
    assert_string_equal(rule_fault_word(RULE_UNKNOWN_KEY), "unknown_key");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_in_sentences_have_three_digits),
        cmocka_unit_test(the_first_fault_counts),
    };
    return cmocka_run_group_tests_name("rules/rule", tests, NULL, NULL);
}
