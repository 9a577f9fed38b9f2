#include "labels/drawing/label_field.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <time.h>

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
        {{{"note", "\xED\xA0\x80"}}, "field 'note' is not UTF-8"},             /* U+D800, a lone surrogate */
        {{{"note", "\xED\xA0\xBD\xED\xB8\x80"}}, "field 'note' is not UTF-8"}, /* a pair of them, CESU-8 */
        {{{"note", "\xC0\x80"}}, "field 'note' is not UTF-8"},                 /* NUL in two bytes */
        {{{"note", "\xEE\x80\x80"}}, "a character of private use (U+E000)"},
        {{{"note", "\xEF\xBF\xBD"}}, "the mark of a lost character (U+FFFD)"},
        {{{"note", "oak\xE3\x85\xA4"}}, "(U+3164)"}, /* a letter that is blank */
        {{{"note", "\xE2\x80\x8F"}}, "(U+200F)"},
        {{{"note", "\xE2\x81\xA8"}}, "(U+2068)"}, /* isolates are ours to set */
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

static void a_date_is_year_first_or_has_its_month_in_letters(void **state)
{
    /* the C library's own names of months, in the locale C */
    (void)state;
    for (int month = 1; month <= 12; month++) {
        const struct tm about = {.tm_year = 126, .tm_mon = month - 1, .tm_mday = month + 2};
        char iso[16], wanted[32], text[LABEL_FIELD_TEXT_SIZE];
        assert_true(strftime(iso, sizeof iso, "%Y-%m-%d", &about) > 0);
        assert_true(strftime(wanted, sizeof wanted, "use by %e %b %Y", &about) > 0);
        const struct label_values values = {{[LABEL_FIELD_EXPIRES] = iso}};
        assert_true(label_field_fill("use by {expires month}", &values, text, NULL));
        char *blank = strstr(wanted, "  "); /* %e pads */
        if (blank)
            memmove(blank, blank + 1, strlen(blank));
        assert_string_equal(text, wanted);
        assert_true(label_field_fill("{expires}", &values, text, NULL));
        assert_string_equal(text, iso);
    }
}

static void a_date_of_two_readings_is_never_drawn(void **state)
{
    static const char *const bad[] = {"03/04/2026", "3.4.2026", "2026-02-30", "2026-2-3", "20260214", "soon"};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        const struct label_values values = {{[LABEL_FIELD_FILLED] = bad[i]}};
        char text[LABEL_FIELD_TEXT_SIZE] = "kept";
        struct fault fault = {0};
        assert_false(label_field_fill("{filled}", &values, text, &fault));
        assert_non_null(strstr(fault.text, "field 'filled'"));
        assert_false(label_field_fill("{filled month}", &values, text, NULL));
        assert_string_equal(text, "kept");
    }
}

static void only_a_line_with_letters_from_right_to_left_gets_isolates(void **state)
{
    /* Unicode Standard Annex #9, 2.4: LRI U+2066, RLI U+2067, FSI U+2068, PDI U+2069 */
    const struct label_values latin = {{[LABEL_FIELD_LOT] = "L1"}}, hebrew = {{[LABEL_FIELD_LOT] = "\xD7\x90"}};
    char text[LABEL_FIELD_TEXT_SIZE];
    (void)state;
    assert_true(label_field_fill_line("lot {lot}", &latin, text, NULL));
    assert_string_equal(text, "lot L1");
    assert_true(label_field_fill_line("lot {lot}", &hebrew, text, NULL));
    assert_string_equal(text, "\xE2\x81\xA6lot \xE2\x81\xA8\xD7\x90\xE2\x81\xA9\xE2\x81\xA9");
    assert_true(label_field_fill_line("\xD7\x91 {lot}", &latin, text, NULL));
    assert_string_equal(text, "\xE2\x81\xA7\xD7\x91 \xE2\x81\xA8L1\xE2\x81\xA9\xE2\x81\xA9");
    assert_true(label_field_fill("{lot}", &hebrew, text, NULL)); /* a symbol says what was given */
    assert_string_equal(text, "\xD7\x90");
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
    assert_true(label_field_check_pattern("{expires month} {filled}", &uses, &fault));
    assert_int_equal(uses, 1U << LABEL_FIELD_EXPIRES | 1U << LABEL_FIELD_FILLED);
    assert_false(label_field_check_pattern("{expires dd/mm}", &uses, &fault));
    assert_non_null(
        strstr(fault.text, "cannot be written as 'dd/mm': say {expires} for 2026-02-14 or {expires month}"));
    assert_false(label_field_check_pattern("{lot month}", &uses, &fault));
    assert_non_null(strstr(fault.text, "field 'lot' is no date, so 'month' cannot stand behind it"));
    assert_false(label_field_check_pattern("{ lot}", &uses, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sorts_fields_by_name_and_takes_empty_for_absent),
        cmocka_unit_test(every_name_is_found_again),
        cmocka_unit_test(refuses_bad_fields_by_name),
        cmocka_unit_test(fills_a_pattern),
        cmocka_unit_test(a_date_is_year_first_or_has_its_month_in_letters),
        cmocka_unit_test(a_date_of_two_readings_is_never_drawn),
        cmocka_unit_test(only_a_line_with_letters_from_right_to_left_gets_isolates),
        cmocka_unit_test(refuses_a_filled_pattern_that_is_too_long),
        cmocka_unit_test(checks_patterns),
    };
    return cmocka_run_group_tests_name("drawing/label_field", tests, NULL, NULL);
}
