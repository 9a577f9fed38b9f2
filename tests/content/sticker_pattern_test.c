#include "labels/content/sticker_pattern.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* The pattern's text is a format of ours: docs/stickers.md. */

static void what_is_written_is_what_was_read(void **state)
{
    static const struct {
        const char *text, *written;
    } cases[] = {
        {"# a supplier\n\n  text \"LOT \" \nlot 1 to 20 of A 9\r\n", "text \"LOT \"\nlot 1 to 20 of 9 A\n"},
        {"text \"A\"\ntext \"B\"\nitem 7 of 9", "text \"AB\"\nitem 7 of 9\n"},
        {"item 3 to 3 of \"BA\" \"-\"\ntext \"\\x00\\xff\\\\\\\"\"",
         "item 3 of \"-AB\"\ntext \"\\x00\\xFF\\\\\\\"\"\n"},
        {"other 1 to 40 of 9 A a \" \"\ntext \"x\"\nmade \"d/m/yy\"",
         "other 1 to 40 of 9 A a \" \"\ntext \"x\"\nmade \"d/m/yy\"\n"},
        {"lot 6 of 9\nexpires \"ddmmyyyy\"\ntext \"\xC3\x9C\"",
         "lot 6 of 9\nexpires \"ddmmyyyy\"\ntext \"\xC3\x9C\"\n"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sticker_pattern pattern;
        char text[STICKER_PATTERN_SIZE];
        struct fault fault = {FAULT_NONE, ""};
        if (!sticker_pattern_read(span_of(cases[i].text), &pattern, &fault))
            fail_msg("case %zu: %s", i, fault.text);
        sticker_pattern_write(&pattern, text);
        assert_string_equal(text, cases[i].written);
    }
}

static void refuses_with_line_and_place_and_leaves_the_result_alone(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"", "keeps nothing"},
        {"text \"A\"", "keeps nothing"},
        {"lot 1 to 20 of 9", "no fixed text"},
        {"texts \"A\"", "line 1, place 1: 'texts \"A\"' stands where text, item"},
        {"text A", "line 1, place 6: 'A' stands where the text in quotes belongs"},
        {"text", "line 1, place 5: the line ends where the text in quotes belongs"},
        {"text \"A", "line 1, place 8: the line ends where the closing '\"' belongs"},
        {"text \"\"", "line 1: the text is empty"},
        {"text \"A\" x", "line 1, place 10: 'x' stands where the line's end belongs"},
        {"text \"A\\n\"", "place 9: 'n\"' stands where one of \\\\"},
        {"text \"A\\x4\"", "stands where one of \\\\"},
        {"text \"A\tB\"", "place 8: '<TAB>B\"' stands where a character that can be seen"},
        {"text \"A\"\nlot", "line 2, place 4: the line ends where a number"},
        {"text \"A\"\nlot x", "line 2, place 5: 'x' stands where a number"},
        {"text \"A\"\nlot 1 of", "line 2, place 9: the line ends where 9, A, a or signs in quotes"},
        {"text \"A\"\nlot 1 9", "stands where 'of' and the characters"},
        {"text \"A\"\nlot 1 of \"\"", "line 2: the lot takes no character"},
        {"text \"A\"\nlot 1 of b", "stands where 9, A, a or signs"},
        {"text \"A\"\nlot 0 of 9", "line 2: the lot has 0 to 0 characters: use 1 to 20"},
        {"text \"A\"\nlot 2 to 1 of 9", "use 1 to 20"},
        {"text \"A\"\nlot 1 to 21 of 9", "use 1 to 20"},
        {"text \"A\"\nitem 1 to 31 of 9", "use 1 to 30"},
        {"text \"A\"\nlot 1 to 99999 of 9", "stands where a number"},
        {"text \"A\"\nquantity 1 to 9 of 9", "use 1 to 8"},
        {"text \"A\"\nquantity 1 to 8 of 9 A", "digits only"},
        {"text \"A\"\nlot 1 of \"\\x80\"", "ASCII only"},
        {"text \"A\"\nlot 1 of 9\nlot 1 of 9", "line 3: the lot is there twice"},
        {"text \"A\"\nlot 1 to 2 of 9\nitem 1 to 2 of A", "line 3: nothing stands between the lot and the item"},
        {"text \"A\"\nmade \"d.m.yy\"\nitem 1 to 2 of A", "nothing stands between the date of making and the item"},
        {"text \"A\"\nmade \"yyyy-mm\"", "no layout of a date"},
        {"text \"A\"\nmade \"yydd-mm\"", "no layout of a date"},
        {"text \"A\"\nmade \"yyyy-mm-dd-mm\"", "no layout of a date"},
        {"text \"A\"\nmade \"yyy-mm-dd\"", "no layout of a date"},
        {"text \"A\"\nmade \"\"", "no layout of a date"},
        {"text \"A\"\nmade \"dmmyy\"", "the single 'd'"},
        {"text \"A\"\nmade \"dd.myyyy\"", "the single 'm'"},
        {"text \"\xFF\"", "UTF-8"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sticker_pattern pattern = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        if (sticker_pattern_read(span_of(cases[i].text), &pattern, &fault))
            fail_msg("case %zu was taken", i);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(pattern.count, 77);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
}

static void the_limits_hold_and_the_largest_pattern_can_be_written(void **state)
{
    static char text[STICKER_PATTERN_SIZE], written[STICKER_PATTERN_SIZE];
    static char too_long[STICKER_PATTERN_SIZE + 1];
    struct sticker_pattern pattern;
    struct fault fault = {FAULT_NONE, ""};
    struct builder out;
    (void)state;
    builder_init(&out, text, sizeof text);
    builder_add(&out, "lot 20 of \"\\\"\\\\ !-~\"\n");
    for (int i = 0; i < STICKER_PIECES - 2; i++)
        builder_add(&out, i % 2 ? "text \"\\x00\"\n" : "other 40 of \" !\\\"#$%&'()*+,-./0:;<=>?@A[\\\\]^_`a{|}~\"\n");
    const size_t pieces = out.length;
    builder_add(&out, "text \"");
    for (int i = 0; i < STICKER_BYTES - (STICKER_PIECES - 2) / 2; i++)
        builder_add(&out, "\\x00");
    builder_add(&out, "\"\n");
    assert_false(out.cut);
    if (!sticker_pattern_read(span_of(text), &pattern, &fault))
        fail_msg("%s", fault.text);
    sticker_pattern_write(&pattern, written);
    assert_true(sticker_pattern_read(span_of(written), &pattern, &fault));
    out.length -= 2;
    builder_add(&out, "x\"\n");
    assert_false(sticker_pattern_read(span_of(text), &pattern, &fault));
    assert_non_null(strstr(fault.text, "longer than 256 bytes"));
    out.length = pieces;
    for (int i = 0; i < 3; i++)
        builder_add(&out, "other 1 of 9\n");
    assert_false(sticker_pattern_read(span_of(text), &pattern, &fault));
    assert_non_null(strstr(fault.text, "more than 24 pieces"));
    memset(too_long, '\n', sizeof too_long);
    assert_false(sticker_pattern_read((struct span){too_long, STICKER_PATTERN_SIZE}, &pattern, &fault));
    assert_non_null(strstr(fault.text, "at most 8191"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_what_was_read),
        cmocka_unit_test(refuses_with_line_and_place_and_leaves_the_result_alone),
        cmocka_unit_test(the_limits_hold_and_the_largest_pattern_can_be_written),
    };
    return cmocka_run_group_tests_name("content/sticker_pattern", tests, NULL, NULL);
}
