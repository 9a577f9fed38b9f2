#include "labels/drawing/characters.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <fribidi.h>
#include <glib.h>

enum { CODES = 0x110000 };

static bool is_one_of(uint32_t code, const uint32_t (*ranges)[2], size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (code >= ranges[i][0] && code <= ranges[i][1])
            return true;
    return false;
}

/* Signs of category Cf that show (Prepended_Concatenation_Mark, PropList.txt of Unicode 14). */
static bool shows_all_the_same(uint32_t code)
{
    static const uint32_t signs[][2] = {{0x600, 0x605}, {0x6DD, 0x6DD},     {0x70F, 0x70F},    {0x890, 0x891},
                                        {0x8E2, 0x8E2}, {0x110BD, 0x110BD}, {0x110CD, 0x110CD}};
    return is_one_of(code, signs, sizeof signs / sizeof *signs);
}

/* Letters and marks of Default_Ignorable_Code_Point (DerivedCoreProperties.txt of Unicode 14). */
static bool is_ignorable_letter(uint32_t code)
{
    static const uint32_t letters[][2] = {{0x34F, 0x34F},   {0x115F, 0x1160}, {0x17B4, 0x17B5}, {0x180B, 0x180F},
                                          {0x3164, 0x3164}, {0xFE00, 0xFE0F}, {0xFFA0, 0xFFA0}, {0xE0100, 0xE01EF}};
    return is_one_of(code, letters, sizeof letters / sizeof *letters);
}

static void what_nobody_sees_is_what_unicode_says(void **state)
{
    /* GLib's own table of general categories */
    (void)state;
    for (uint32_t code = 0; code < CODES; code++) {
        const GUnicodeType type = g_unichar_type(code);
        if (type == G_UNICODE_UNASSIGNED || type == G_UNICODE_SURROGATE || code == 0xFFFD)
            continue;
        const bool control = type == G_UNICODE_CONTROL || type == G_UNICODE_FORMAT ||
                             type == G_UNICODE_LINE_SEPARATOR || type == G_UNICODE_PARAGRAPH_SEPARATOR;
        const bool hidden = (control && !shows_all_the_same(code)) || is_ignorable_letter(code);
        const char *wanted = hidden                          ? "an invisible character"
                             : type == G_UNICODE_PRIVATE_USE ? "a character of private use"
                                                             : "";
        const char *got = character_trouble(code);
        const bool newer = code >= 0x13430 && code <= 0x1345F; /* hieroglyph controls grow with each Unicode */
        if (!newer && strcmp(wanted, got ? got : "") != 0)
            fail_msg("U+%04X: '%s', not '%s'", (unsigned)code, got ? got : "", wanted);
    }
}

static void noncharacters_and_lost_ones_are_no_letters(void **state)
{
    /* The Unicode Standard 14, 23.7: the last two of every plane, and U+FDD0 to U+FDEF; 23.8: U+FFFD */
    (void)state;
    for (uint32_t plane = 0; plane <= 0x10; plane++) {
        assert_non_null(character_trouble(plane << 16 | 0xFFFE));
        assert_non_null(character_trouble(plane << 16 | 0xFFFF));
    }
    assert_non_null(character_trouble(0xFDD0));
    assert_string_equal(character_trouble(0xFFFD), "the mark of a lost character");
}

static void letters_from_right_to_left_are_those_of_fribidi(void **state)
{
    /* GNU FriBidi's table of bidirectional types; blocks set aside count whole, so marks and digits may be in them */
    (void)state;
    for (uint32_t code = 0; code < CODES; code++) {
        const FriBidiCharType type = fribidi_get_bidi_type(code);
        if (g_unichar_type(code) == G_UNICODE_UNASSIGNED || character_trouble(code))
            continue;
        if ((type == FRIBIDI_TYPE_RTL || type == FRIBIDI_TYPE_AL) && !character_is_right_to_left(code))
            fail_msg("U+%04X runs from right to left", (unsigned)code);
        const bool known = code < 0x10000; /* FriBidi 1.0.8 takes what Unicode added above since then for L */
        if (type == FRIBIDI_TYPE_LTR && known && character_is_right_to_left(code))
            fail_msg("U+%04X runs from left to right", (unsigned)code);
    }
}

static void steps_through_utf8_as_glib_does(void **state)
{
    (void)state;
    for (uint32_t code = 1; code < CODES; code++) {
        char bytes[8] = "";
        uint32_t got = 0;
        if (code >= 0xD800 && code <= 0xDFFF)
            continue;
        const int length = g_unichar_to_utf8(code, bytes);
        assert_ptr_equal(character_next(bytes, &got), bytes + length);
        assert_int_equal(got, code);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_nobody_sees_is_what_unicode_says),
        cmocka_unit_test(noncharacters_and_lost_ones_are_no_letters),
        cmocka_unit_test(letters_from_right_to_left_are_those_of_fribidi),
        cmocka_unit_test(steps_through_utf8_as_glib_does),
    };
    return cmocka_run_group_tests_name("drawing/characters", tests, NULL, NULL);
}
