#include "labels/basics/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define SPAN(literal) ((struct span){literal, sizeof(literal) - 1})

static void a_span_compares_by_length_and_holds_nul(void **state)
{
    (void)state;
    assert_int_equal(span_of(NULL).length, 0);
    assert_true(span_equals(span_of("LOT"), "LOT"));
    assert_false(span_equals(SPAN("LOT\0X"), "LOT"));
    assert_true(span_equals((struct span){NULL, 0}, ""));
    assert_true(span_starts(SPAN("]d201"), "]d2"));
    assert_false(span_starts(SPAN("]d"), "]d2"));
}

static void counts_are_digits_only_and_fit_eighteen(void **state)
{
    int64_t value = 7;
    (void)state;
    assert_true(span_read_count(SPAN("000042"), &value));
    assert_int_equal(value, 42);
    assert_true(span_read_count(SPAN("999999999999999999"), &value));
    assert_true(value == INT64_C(999999999999999999));
    value = 7;
    static const char *const refused[] = {"", "-1", "+1", " 1", "1 ", "0x1", "1.0", "1000000000000000000"};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_false(span_read_count(span_of(refused[i]), &value));
    assert_int_equal(value, 7);
}

static void a_copy_fits_whole_or_not_at_all(void **state)
{
    char buffer[4] = "old";
    (void)state;
    assert_true(span_copy(SPAN("abc"), buffer, sizeof buffer));
    assert_string_equal(buffer, "abc");
    assert_false(span_copy(SPAN("abcd"), buffer, sizeof buffer));
    assert_string_equal(buffer, "");
    assert_false(span_copy(SPAN("a\0b"), buffer, sizeof buffer));
    assert_true(span_copy((struct span){NULL, 0}, buffer, sizeof buffer));
}

static void a_builder_never_writes_past_its_buffer(void **state)
{
    char buffer[8 + 1] = "########";
    struct builder out;
    (void)state;
    builder_init(&out, buffer, 8);
    builder_add(&out, "abc");
    builder_add_char(&out, '-');
    builder_addf(&out, "%d", 123);
    assert_string_equal(buffer, "abc-123");
    assert_false(out.cut);
    builder_addf(&out, "%s", "x");
    assert_true(out.cut);
    assert_int_equal(out.length, 7);
    builder_init(&out, buffer, 8);
    builder_add(&out, "123456789");
    assert_true(out.cut);
    assert_string_equal(buffer, "1234567");
    builder_init(&out, buffer, 1);
    builder_addf(&out, "%d", 5);
    assert_string_equal(buffer, "");
    assert_true(out.cut);
    assert_int_equal(buffer[8], '\0');
}

/* Names of the control characters: ISO/IEC 646. */
static void control_characters_are_shown_by_name(void **state)
{
    char shown[64];
    (void)state;
    assert_string_equal(text_show(SPAN("[)>\x1e"
                                       "06\x1dS\x1e\x04"),
                                  shown, sizeof shown),
                        "[)><RS>06<GS>S<RS><EOT>");
    assert_string_equal(text_show(SPAN("\0\x7f\x9f\t"), shown, sizeof shown), "<NUL><0x7F><0x9F><TAB>");
}

static void a_long_text_is_shown_cut_with_an_ellipsis(void **state)
{
    char shown[9];
    (void)state;
    assert_string_equal(text_show(SPAN("12345"), shown, sizeof shown), "12345");
    assert_string_equal(text_show(SPAN("123456789"), shown, sizeof shown), "12345…");
    for (size_t size = 1; size <= sizeof shown; size++) {
        text_show(SPAN("\x1d\x1d\x1d"), shown, size);
        assert_true(strlen(shown) < size);
        assert_true(text_is_utf8(span_of(shown)));
    }
}

/* RFC 3629, sections 3 and 4; the examples of overlong forms are those of its section 10. */
static void utf8_is_checked_to_the_letter(void **state)
{
    static const char *const good[] = {"",
                                       "A",
                                       "\xC2\x80",
                                       "\xDF\xBF",
                                       "\xE0\xA0\x80",
                                       "\xED\x9F\xBF",
                                       "\xEE\x80\x80",
                                       "\xEF\xBF\xBF",
                                       "\xF0\x90\x80\x80",
                                       "\xF4\x8F\xBF\xBF"};
    static const char *const bad[] = {"\x80",         "\xC0\x80",         "\xC1\xBF",         "\xC3",
                                      "\xE0\x9F\xBF", "\xED\xA0\x80",     "\xED\xBF\xBF",     "\xE2\x82",
                                      "\xE2\x28\xA1", "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80",
                                      "\xFF",         "\xF0\x9F\x98"};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!text_is_utf8(span_of(good[i])))
            fail_msg("good text %zu refused", i);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (text_is_utf8(span_of(bad[i])))
            fail_msg("bad text %zu taken", i);
}

/* RFC 3629: the lead byte tells how many follow. */
static void what_is_left_of_a_cut_character_is_dropped(void **state)
{
    static const struct {
        const char *cut, *whole;
    } cases[] = {{"abc\xE2\x80", "abc"},
                 {"abc\xE2", "abc"},
                 {"abc\xF0\x9F\x98", "abc"},
                 {"abc\xC3", "abc"},
                 {"abc\xC3\xA9", "abc\xC3\xA9"},
                 {"abc", "abc"},
                 {"", ""},
                 {"\xE2\x80", ""},
                 {"\xF0\x9F\x98\x80", "\xF0\x9F\x98\x80"}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char buffer[16];
        assert_true(span_copy(span_of(cases[i].cut), buffer, sizeof buffer));
        text_end_whole(buffer);
        if (strcmp(buffer, cases[i].whole) != 0)
            fail_msg("case %zu", i);
    }
}

/* RFC 4648, section 10: the bytes of "foobar" in base 16. */
static void hexadecimal_goes_there_and_back(void **state)
{
    char hex[13];
    uint8_t bytes[6];
    size_t length = 9;
    (void)state;
    text_write_hex((const uint8_t *)"foobar", 6, hex, sizeof hex);
    assert_string_equal(hex, "666F6F626172");
    assert_true(text_read_hex(span_of("666f6F626172"), bytes, sizeof bytes, &length));
    assert_int_equal(length, 6);
    assert_memory_equal(bytes, "foobar", 6);
    length = 9;
    assert_false(text_read_hex(span_of("666"), bytes, sizeof bytes, &length));
    assert_false(text_read_hex(span_of("6G"), bytes, sizeof bytes, &length));
    assert_false(text_read_hex(span_of("00000000000000"), bytes, sizeof bytes, &length));
    assert_int_equal(length, 9);
}

static void lines_come_one_by_one_and_nothing_is_lost(void **state)
{
    struct span rest = span_of("one\n\nthree");
    (void)state;
    assert_true(span_equals(text_line(&rest), "one"));
    assert_true(span_equals(text_line(&rest), ""));
    assert_true(span_equals(text_line(&rest), "three"));
    assert_int_equal(rest.length, 0);
    assert_int_equal(text_line(&rest).length, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_come_one_by_one_and_nothing_is_lost),
        cmocka_unit_test(a_span_compares_by_length_and_holds_nul),
        cmocka_unit_test(counts_are_digits_only_and_fit_eighteen),
        cmocka_unit_test(a_copy_fits_whole_or_not_at_all),
        cmocka_unit_test(a_builder_never_writes_past_its_buffer),
        cmocka_unit_test(control_characters_are_shown_by_name),
        cmocka_unit_test(a_long_text_is_shown_cut_with_an_ellipsis),
        cmocka_unit_test(utf8_is_checked_to_the_letter),
        cmocka_unit_test(what_is_left_of_a_cut_character_is_dropped),
        cmocka_unit_test(hexadecimal_goes_there_and_back),
    };
    return cmocka_run_group_tests_name("basics/text", tests, NULL, NULL);
}
