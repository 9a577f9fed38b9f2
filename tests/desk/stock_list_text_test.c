#include "kiosk/desk/stock_list/stock_list_text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Encodings: mapping tables of the Unicode Consortium (MAPPINGS/VENDORS/MICSFT/WINDOWS, /APPLE/ROMAN.TXT,
 * /MICSFT/PC/CP850.TXT, ISO8859/8859-15.TXT); marks: The Unicode Standard 15, table 2-4. */

static void read_text(const char *bytes, size_t length, const char *encoding, struct stock_list_text *text)
{
    struct fault fault = {0};
    if (!stock_list_text_read((struct span){bytes, length}, encoding, text, &fault))
        fail_msg("%s", fault.text);
}

static void refuses(const char *bytes, size_t length, const char *encoding, const char *says)
{
    struct stock_list_text text = {.length = 7};
    struct fault fault = {0};
    assert_false(stock_list_text_read((struct span){bytes, length}, encoding, &text, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    if (!strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
    assert_int_equal(text.length, 7);
}

static void reads_bytes_by_the_published_tables(void **state)
{
    static const struct {
        const char *encoding, *bytes, *utf_8;
    } cases[] = {
        {"windows-1252", "\x80\x8A\x9F\xE4", "\u20AC\u0160\u0178\u00E4"}, /* CP1252.TXT */
        {"iso-8859-15", "\xA4\xA6\xBD\xE4", "\u20AC\u0160\u0153\u00E4"},  /* 8859-15.TXT */
        {"windows-1250", "\xB9\x9C\xE8\xF8", "\u0105\u015B\u010D\u0159"}, /* CP1250.TXT */
        {"windows-1251", "\xC0\xE0\xB8\xFF", "\u0410\u0430\u0451\u044F"}, /* CP1251.TXT */
        {"windows-1253", "\xC1\xE1\xDC\xF2", "\u0391\u03B1\u03AC\u03C2"}, /* CP1253.TXT */
        {"windows-1254", "\xD0\xDD\xFE\xFD", "\u011E\u0130\u015F\u0131"}, /* CP1254.TXT */
        {"macintosh", "\x8A\x9A\x9F\xA7", "\u00E4\u00F6\u00FC\u00DF"},    /* ROMAN.TXT */
        {"ibm850", "\x84\x94\x81\xE1", "\u00E4\u00F6\u00FC\u00DF"},       /* CP850.TXT */
        {"WINDOWS-1252", "\xFC", "\u00FC"},
        {"utf-8", "\xC3\xBC", "\u00FC"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_text text;
        read_text(cases[i].bytes, strlen(cases[i].bytes), cases[i].encoding, &text);
        assert_string_equal(text.at, cases[i].utf_8);
        assert_int_equal(text.length, strlen(cases[i].utf_8));
        stock_list_text_clear(&text);
    }
}

static void a_mark_says_what_the_bytes_are(void **state)
{
    static const struct {
        const char *bytes;
        size_t length;
        const char *encoding, *utf_8;
    } cases[] = {
        {"\xEF\xBB\xBF"
         "a\xC3\xBC",
         6, "utf-8", "a\u00FC"},
        {"\xFF\xFE"
         "a\0\xFC\0\x3D\xD8\x00\xDE",
         10, "utf-16le", "a\u00FC\U0001F600"}, /* with a surrogate pair */
        {"\xFE\xFF\0a\0\xFC", 6, "utf-16be", "a\u00FC"},
        {"plain", 5, "utf-8", "plain"},
        {"a\xC3\xBC", 3, "utf-8", "a\u00FC"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_text text;
        read_text(cases[i].bytes, cases[i].length, "", &text);
        assert_false(text.asked);
        assert_string_equal(text.encoding, cases[i].encoding);
        assert_string_equal(text.at, cases[i].utf_8);
        stock_list_text_clear(&text);
    }
    struct stock_list_text text; /* a mark outweighs what was said of another file */
    read_text(cases[0].bytes, cases[0].length, "windows-1251", &text);
    assert_string_equal(text.at, cases[0].utf_8);
    stock_list_text_clear(&text);
}

static const struct stock_list_reading *reading_of(const struct stock_list_text *text, const char *encoding)
{
    for (size_t i = 0; i < text->reading_count; i++)
        if (strcmp(text->readings[i].encoding, encoding) == 0)
            return &text->readings[i];
    return NULL;
}

static void other_bytes_are_asked_about_with_the_files_own_words(void **state)
{
    static const char bytes[] = "Artikel;Gr\xF6\xDF"
                                "e;St\xFC"
                                "ck\nFlint;gro\xDF;3\n";
    struct stock_list_text text;
    (void)state;
    read_text(bytes, sizeof bytes - 1, "", &text);
    assert_true(text.asked);
    assert_null(text.at);
    assert_string_equal(reading_of(&text, "windows-1252")->sample, "Gr\u00F6\u00DFe, St\u00FCck, gro\u00DF");
    assert_non_null(strstr(reading_of(&text, "windows-1251")->sample, "St\u044Cck"));
    assert_null(reading_of(&text, "iso-8859-15")); /* reads it letter for letter as windows-1252 does: asked once */
    stock_list_text_clear(&text);
}

static void one_reading_alone_is_still_asked(void **state)
{
    static const char bytes[] = "\x81;\x8D;\x8F;\x90;\xE2\x80"; /* holes of CP1252, CP1250, CP1251, CP1253 */
    struct stock_list_text text;
    (void)state;
    read_text(bytes, sizeof bytes - 1, "", &text);
    assert_true(text.asked);
    assert_true(text.reading_count >= 1);
    for (size_t i = 0; i < text.reading_count; i++)
        assert_true(text_is_utf8(span_of(text.readings[i].sample)));
    stock_list_text_clear(&text);
}

static void what_is_no_text_gets_a_sentence(void **state)
{
    (void)state;
    refuses("", 0, "", "the file is empty");
    refuses("PK\x03\x04rest", 8, "", "spreadsheet's own file: in the spreadsheet choose Save as, CSV");
    refuses("\xD0\xCF\x11\xE0rest", 8, "", "spreadsheet's own file");
    refuses("a;b\0c", 5, "", "zero bytes");
    refuses("\xFF\xFE"
            "a\0\0\0",
            6, "", "zero bytes");
    refuses("\xFF\xFE"
            "a\0\xFC",
            5, "", "ends in the middle of a character");
    refuses("\xFF\xFE"
            "\x00\xD8"
            "a\0",
            6, "", "does not have"); /* a lone surrogate */
    refuses("gr\xC3\xBC"
            "n;\xC3",
            7, "", "ends in the middle of a character");
    refuses("\xEF\xBB\xBF"
            "a\nb\xFF\n",
            8, "", "line 2 holds a character that utf-8 does not have");
    refuses("\xEF\xBB\xBF"
            "a\n\nb\xF6\x8C\x9A\x92\n",
            12, "", "line 3 holds a character that utf-8 does not have"); /* RFC 3629: nothing above U+10FFFF */
    refuses("\x81", 1, "windows-1252", "line 1 holds a character that windows-1252 does not have");
    refuses("a", 1, "klingon", "encoding 'klingon' is not known here");
    char *large = calloc(1, STOCK_LIST_BYTES + 1);
    refuses(large, STOCK_LIST_BYTES + 1, "", "larger than 1024 KiB");
    free(large);
}

static void what_goes_beyond_unicode_is_no_utf_8(void **state)
{
    struct stock_list_text text;
    (void)state;
    read_text("item;tor\xF6\x8C\x9A\x92", 12, "", &text); /* RFC 3629; a fuzzer's find: iconv lets it pass */
    assert_true(text.asked);
    stock_list_text_clear(&text);
}

static void a_last_letter_of_an_older_encoding_is_not_taken_for_a_cut(void **state)
{
    struct stock_list_text text;
    (void)state;
    read_text("item;caf\xE9", 9, "", &text); /* 0xE9 begins three bytes of UTF-8 and is e acute in CP1252 */
    assert_true(text.asked);
    assert_string_equal(reading_of(&text, "windows-1252")->sample, "caf\u00E9");
    stock_list_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_bytes_by_the_published_tables),
        cmocka_unit_test(a_mark_says_what_the_bytes_are),
        cmocka_unit_test(other_bytes_are_asked_about_with_the_files_own_words),
        cmocka_unit_test(one_reading_alone_is_still_asked),
        cmocka_unit_test(what_is_no_text_gets_a_sentence),
        cmocka_unit_test(what_goes_beyond_unicode_is_no_utf_8),
        cmocka_unit_test(a_last_letter_of_an_older_encoding_is_not_taken_for_a_cut),
    };
    return cmocka_run_group_tests_name("desk/stock_list_text", tests, NULL, NULL);
}
