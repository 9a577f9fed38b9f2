#include "labels/reading/eci.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/reading/decodation.h"
#include "labels/reading/module_matrix.h"
#include "tests/reading/zint_modules.h"

static void check_text(const struct reader_symbol *symbol, const char *wanted, const char *what)
{
    static char text[READER_TEXT + 1];
    size_t length = 0;
    if (!reader_symbol_text(symbol, text, &length))
        fail_msg("%s: no text", what);
    assert_int_equal(strlen(text), length);
    if (strcmp(text, wanted) != 0)
        fail_msg("%s: '%s', not '%s'", what, text, wanted);
}

static bool has_text(const struct reader_symbol *symbol)
{
    static char text[READER_TEXT + 1];
    size_t length = 7;
    const bool has = reader_symbol_text(symbol, text, &length);
    assert_true(has || length == 7);
    return has;
}

static struct reader_symbol decode(const uint8_t *words, size_t count)
{
    struct reader_symbol symbol = {0};
    if (!decodation_read(words, count, &symbol))
        fail_msg("codewords %d %d %d …: no read", words[0], words[1], words[2]);
    return symbol;
}

/* libzint turns UTF-8 into the set of the ECI by tables of its own: an encoder and a set of tables that are not ours.
 */
static void what_zint_writes_under_an_eci_is_read_as_the_same_text(void **state)
{
    static const struct {
        int eci;
        const char *text;
    } cases[] = {
        {3, "Größe 5 µm, ½"}, {4, "Ľubovňa, Łódź"}, {5, "ĦĝĊ ŭ"},          {6, "ĸŖĨĻ ŋ"},
        {7, "Смола № 5"},     {8, "راتنج"},         {9, "Ρητίνη"},         {10, "שרף"},
        {11, "Reçine ığdır"}, {12, "Ąįķ ŋū"},       {13, "เรซิน"},          {15, "Dervos ąčęėįšųūž"},
        {16, "Ŵŷ Ḃṫ"},        {17, "5 € Šœ"},       {18, "Rășină Țț"},     {20, "樹脂 カタ ｶﾀ"},
        {21, "žluťoučký €"},  {22, "Смола Ђ €"},    {23, "“resin” €5 ™"},  {24, "راتنج پ €"},
        {25, "Harz Ω 樹"},    {26, "Größe 樹 😀"},   {27, "plain ASCII ~"}, {28, "樹脂 光固化"},
        {29, "树脂 光固化"},  {30, "수지 레진"},    {31, "树脂 樹脂"},     {32, "树脂 € ā 😀"},
        {33, "Harz Ω 樹"},    {34, "Harz 😀"},       {35, "Harz 😀"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        static struct zint_modules made;
        struct reader_symbol symbol = {0};
        const struct zint_wish wish = {.text = cases[i].text, .mode = UNICODE_MODE, .eci = cases[i].eci};
        if (!zint_modules_make(&wish, &made))
            fail_msg("zint refuses ECI %d", cases[i].eci);
        if (!module_matrix_read(made.size, made.modules, NULL, NULL, &symbol))
            fail_msg("ECI %d: no read", cases[i].eci);
        assert_int_equal(symbol.eci, cases[i].eci);
        check_text(&symbol, cases[i].text, "zint");
    }
}

/* Codewords by hand: ISO/IEC 16022:2006, Table 2 (235 upper shift, 241 ECI) and Table 6 (number + 1). */
static void a_switch_in_mid_text_holds_from_there_on(void **state)
{
    (void)state;
    /* 'A' 0xE9, ECI 7 (8859-5) 'B' 0xE9, ECI 26 (UTF-8) C3 A9 */
    const uint8_t words[] = {66, 235, 0x6A, 241, 8, 67, 235, 0x6A, 241, 27, 235, 0x44, 235, 0x2A};
    const struct reader_symbol symbol = decode(words, sizeof words);
    assert_int_equal(symbol.eci, 7);
    assert_int_equal(symbol.segment_count, 2);
    assert_int_equal(symbol.segments[0].start, 2);
    assert_int_equal(symbol.segments[1].start, 4);
    assert_int_equal(symbol.segments[1].eci, 26);
    check_text(&symbol, "AéBщé", "switches");
}

static void an_eci_without_a_byte_leaves_no_segment(void **state)
{
    (void)state;
    const uint8_t words[] = {241, 8, 241, 27, 66, 241, 8};
    const struct reader_symbol symbol = decode(words, sizeof words);
    assert_int_equal(symbol.eci, 7);
    assert_int_equal(symbol.segment_count, 2);
    assert_int_equal(symbol.segments[0].eci, 26);
    check_text(&symbol, "A", "an empty segment");
}

static void more_switches_than_are_kept_give_the_bytes_and_no_text(void **state)
{
    enum { MOST = READER_SEGMENTS + 3 };
    uint8_t words[3 * MOST];
    (void)state;
    for (int i = 0; i < MOST; i++)
        memcpy(words + 3 * i, (const uint8_t[]){241, (uint8_t)(i % 2 ? 8 : 27), 66}, 3);
    struct reader_symbol symbol = decode(words, 3 * READER_SEGMENTS);
    check_text(&symbol, "AAAAAAAA", "as many as are kept");
    symbol = decode(words, sizeof words);
    assert_int_equal(symbol.length, MOST);
    assert_true(symbol.segment_count > READER_SEGMENTS);
    assert_false(has_text(&symbol));
}

/* The trailer of a macro and a separator are the symbology's own, not characters of UTF-16BE. */
static void what_the_symbology_adds_is_not_in_the_set_of_two_byte_characters(void **state)
{
    (void)state;
    const uint8_t macro[] = {237, 241, 26, 1, 66};
    struct reader_symbol symbol = decode(macro, sizeof macro);
    check_text(&symbol,
               "[)>\x1E"
               "06\x1D"
               "A\x1E\x04",
               "macro 06");
    const uint8_t separated[] = {232, 241, 26, 1, 66, 232, 1, 67, 232, 1, 68};
    symbol = decode(separated, sizeof separated);
    check_text(&symbol,
               "A\x1D"
               "B\x1D"
               "C",
               "FNC1");
}

static void bytes_that_a_set_does_not_have_are_no_text(void **state)
{
    static const struct {
        uint8_t words[8];
        size_t count;
        const char *why;
    } cases[] = {
        {{241, 28, 66, 235, 0x6A}, 5, "0xE9 in US-ASCII"},
        {{241, 27, 66, 235, 0x6A}, 5, "0xE9 alone in UTF-8"},
        {{241, 26, 66}, 3, "half a character of UTF-16BE"},
        {{241, 21, 235, 0x02}, 4, "half a character of Shift JIS"},
        {{241, 24, 235, 0x02}, 4, "0x81 is free in Windows 1252"},
        {{241, 15, 66}, 3, "ECI 14 is reserved"},
        {{241, 101, 66}, 3, "ECI 100"},
        {{241, 131, 11, 66}, 4, "ECI 899, binary: (131 - 128) * 254 + 11 - 1 + 127"},
        {{235, 0x02, 235, 0x62}, 4, "0x81 0xE1 without ECI: a control of ISO/IEC 8859-1"},
    };
    (void)state; /* which bytes a set leaves free: its own standard, as tabulated by the Unicode Consortium */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct reader_symbol symbol = decode(cases[i].words, cases[i].count);
        if (has_text(&symbol))
            fail_msg("%s gave a text", cases[i].why);
    }
}

static void without_an_eci_it_is_utf8_or_latin_1(void **state)
{
    (void)state;
    struct reader_symbol symbol = decode((const uint8_t[]){66, 235, 0x6A}, 3);
    check_text(&symbol, "Aé", "ISO/IEC 8859-1, the default of ISO/IEC 16022");
    symbol = decode((const uint8_t[]){235, 0x44, 235, 0x2A}, 4);
    check_text(&symbol, "é", "UTF-8 without ECI: common practice, no source");
}

static void a_text_that_does_not_fit_is_refused(void **state)
{
    char small[4];
    struct builder text;
    (void)state;
    builder_init(&text, small, sizeof small);
    assert_true(eci_add_text(23, (struct span){"\x80", 1}, &text));
    assert_string_equal(small, "€");
    assert_false(eci_add_text(3, span_of("x"), &text));
    assert_string_equal(small, "€");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_zint_writes_under_an_eci_is_read_as_the_same_text),
        cmocka_unit_test(a_switch_in_mid_text_holds_from_there_on),
        cmocka_unit_test(an_eci_without_a_byte_leaves_no_segment),
        cmocka_unit_test(more_switches_than_are_kept_give_the_bytes_and_no_text),
        cmocka_unit_test(what_the_symbology_adds_is_not_in_the_set_of_two_byte_characters),
        cmocka_unit_test(bytes_that_a_set_does_not_have_are_no_text),
        cmocka_unit_test(without_an_eci_it_is_utf8_or_latin_1),
        cmocka_unit_test(a_text_that_does_not_fit_is_refused),
    };
    return cmocka_run_group_tests_name("reading/eci", tests, NULL, NULL);
}
