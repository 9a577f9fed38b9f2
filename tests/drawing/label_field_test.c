#include "labels/drawing/label_field.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void sorts_fields_by_name_and_takes_empty_for_absent(void **state)
{
    const struct label_field fields[] = {{"lot", "L1"}, {"serial", "V0001236"}, {"item", ""}, {"note", NULL}};
    struct label_values values;
    (void)state;
    assert_true(label_field_read(fields, 4, &values, NULL));
    assert_string_equal(values.at[LABEL_FIELD_LOT], "L1");
    assert_string_equal(values.at[LABEL_FIELD_SERIAL], "V0001236");
    assert_null(values.at[LABEL_FIELD_ITEM]);
    assert_null(values.at[LABEL_FIELD_NOTE]);
}

static void every_name_is_found_again(void **state)
{
    (void)state;
    for (int id = 0; id < LABEL_FIELD_IDS; id++)
        assert_int_equal(label_field_find(span_of(label_field_name((enum label_field_id)id))), id);
    assert_int_equal(label_field_find(span_of("colour")), -1);
    assert_int_equal(label_field_find((struct span){"serialx", 3}), -1);
}

static void refuses_bad_fields_by_name(void **state)
{
    static char long_value[LABEL_FIELD_VALUE_MAX + 2];
    memset(long_value, 'a', sizeof long_value - 1);
    const struct {
        struct label_field fields[2];
        const char *says;
    } cases[] = {
        {{{"colour", "red"}}, "field 'colour' is not known"},
        {{{"lot", "A"}, {"lot", "A"}}, "field 'lot' is given twice"},
        {{{"note", long_value}}, "field 'note' has 121 bytes"},
        {{{"note", "caf\xE9"}}, "field 'note' is not UTF-8"},
        {{{"note", "two\nlines"}}, "field 'note' has an invisible character (U+000A)"},
        {{{"note", "\xE2\x80\xAE"
                   "4102"}},
         "(U+202E)"}, /* right-to-left override: 4102 would show as 2014 */
        {{{"note", "a\xC2\xADz"}}, "(U+00AD)"},
        {{{"note", "a\xE2\x80\xA8z"}}, "(U+2028)"},
        {{{"note", "\xF3\xA0\x81\x81"}}, "(U+E0041)"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct label_values values = {{"kept"}};
        struct fault fault = {0};
        const size_t count = cases[i].fields[1].name ? 2 : 1;
        if (label_field_read(cases[i].fields, count, &values, &fault) || !strstr(fault.text, cases[i].says))
            fail_msg("expected '%s', got '%s'", cases[i].says, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_string_equal(values.at[0], "kept");
    }
}

static void fills_a_pattern(void **state)
{
    const struct label_values values = {{[LABEL_FIELD_LOT] = "L1", [LABEL_FIELD_ITEM] = "{x}"}};
    char text[LABEL_FIELD_TEXT_SIZE] = "kept";
    struct fault fault = {0};
    (void)state;
    assert_true(label_field_fill("lot {lot}, {item} {{lot}", &values, text, NULL));
    assert_string_equal(text, "lot L1, {x} {lot}");
    assert_false(label_field_fill("{serial}", &values, text, &fault));
    assert_non_null(strstr(fault.text, "field 'serial' is missing"));
    assert_string_equal(text, "lot L1, {x} {lot}");
}

static void refuses_a_filled_pattern_that_is_too_long(void **state)
{
    static char value[LABEL_FIELD_VALUE_MAX + 1];
    memset(value, 'a', sizeof value - 1);
    const struct label_values values = {{[LABEL_FIELD_NOTE] = value}};
    char text[LABEL_FIELD_TEXT_SIZE];
    struct fault fault = {0};
    (void)state;
    assert_true(label_field_fill("{note}{note}{note}", &values, text, &fault));
    assert_false(label_field_fill("{note}{note}{note}{note}", &values, text, &fault));
    assert_non_null(strstr(fault.text, "over 400 bytes"));
}

static void checks_patterns(void **state)
{
    unsigned uses = 0;
    struct fault fault = {0};
    (void)state;
    assert_true(label_field_check_pattern("a {lot} {{ {sample}", &uses, &fault));
    assert_int_equal(uses, 1U << LABEL_FIELD_LOT | 1U << LABEL_FIELD_SAMPLE);
    assert_false(label_field_check_pattern("{colour}", &uses, &fault));
    assert_non_null(strstr(fault.text, "'colour'"));
    assert_false(label_field_check_pattern("{}", &uses, &fault));
    assert_false(label_field_check_pattern("{lot", &uses, &fault));
    assert_non_null(strstr(fault.text, "no }"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sorts_fields_by_name_and_takes_empty_for_absent),
        cmocka_unit_test(every_name_is_found_again),
        cmocka_unit_test(refuses_bad_fields_by_name),
        cmocka_unit_test(fills_a_pattern),
        cmocka_unit_test(refuses_a_filled_pattern_that_is_too_long),
        cmocka_unit_test(checks_patterns),
    };
    return cmocka_run_group_tests_name("drawing/label_field", tests, NULL, NULL);
}
