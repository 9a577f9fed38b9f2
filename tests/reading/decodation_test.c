#include "labels/reading/decodation.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"

struct wanted {
    uint8_t words[32];
    size_t count;
    const char *text; /* no NUL in it */
    const char *symbology;
    const char *source;
};

static void check(const struct wanted *wanted)
{
    struct reader_symbol symbol = {0};
    char shown[400];
    if (!decodation_read(wanted->words, wanted->count, &symbol))
        fail_msg("%s: no read", wanted->source);
    if (symbol.length != strlen(wanted->text) || memcmp(symbol.bytes, wanted->text, symbol.length) != 0)
        fail_msg("%s: %s", wanted->source,
                 text_show((struct span){(const char *)symbol.bytes, symbol.length}, shown, sizeof shown));
    if (strcmp(symbol.symbology, wanted->symbology) != 0)
        fail_msg("%s: symbology %s", wanted->source, symbol.symbology);
}

static void reads_published_codewords(void **state)
{
    static const struct wanted cases[] = {
        {{142, 164, 186}, 3, "123456", "]d1", "ISO/IEC 16022 fig. O.2"},
        {{230, 88, 88, 40, 8, 107, 147, 59, 67, 126, 206, 78, 126, 144, 121, 35, 47, 254},
         18,
         "A1B2C3D4E5F6G7H8I9J0K1L2",
         "]d1",
         "ISO/IEC 16022 fig. 1, C40"},
        {{160, 82, 162, 173, 173, 173, 137, 224, 61, 80, 82, 82},
         12,
         "30Q324343430794<OQQ",
         "]d1",
         "ISO/IEC 16022 fig. R.1"},
        {{232, 131, 139, 180, 141, 131, 183, 130, 133, 147, 145, 131, 149, 140, 66, 67, 46, 142, 52, 129, 223, 118},
         22,
         "01095011015300031715011910AB-123",
         "]d2",
         "GS1 General Specifications, GS1 DataMatrix figure"},
        {{232, 131, 130, 131, 153, 175, 197, 219, 135, 147, 134, 131, 145, 129, 87, 237, 133, 28},
         18,
         "010001234567890517040115",
         "]d2",
         "GS1 General Specifications, GS1 DataMatrix figure"},
        {{236, 66, 129},
         3,
         "[)>\x1E"
         "05\x1D"
         "A\x1E\x04",
         "]d1",
         "ISO/IEC 16022 5.2.4.7, macro 05"},
        {{237, 155, 84, 136, 144, 144, 50, 78, 73, 210, 161, 51},
         12,
         "[)>\x1E"
         "06\x1D"
         "25S0614141MH80312\x1E\x04",
         "]d1",
         "ANSI MH10.8.17-2017, format 06"},
        {{236, 210, 134, 136, 144, 144, 50, 78, 73, 210, 161, 51},
         12,
         "[)>\x1E"
         "05\x1D"
         "80040614141MH80312\x1E\x04",
         "]d1",
         "ANSI MH10.8.17-2017, format 05"},
        {{237, 148, 87, 69, 219, 183, 55, 30, 50, 81, 219, 132, 66, 30, 84, 161, 152, 66, 132, 226, 54},
         21,
         "[)>\x1E"
         "06\x1D"
         "18VD89536\x1D"
         "1P8902A\x1D"
         "S3122A02965\x1E\x04",
         "]d1",
         "ANSI MH10.8.17-2017 fig. 4"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        check(&cases[i]);
}

static void reads_each_encodation(void **state)
{
    static const struct wanted cases[] = {
        {{230, 89, 233, 109, 36}, 5, "ABCDEF", "]d1", "C40, ISO/IEC 16022 5.2.5"},
        {{239, 89, 233, 254, 66}, 5, "abcA", "]d1", "Text with unlatch, 5.2.6"},
        {{230, 89, 233, 66}, 4, "ABCA", "]d1", "one codeword left is in ASCII without unlatch, 5.2.5.2"},
        {{230, 89, 233, 254}, 4, "ABC", "]d1", "the last codeword is an unlatch, 5.2.5.2"},
        /* 1600 * 1 + 40 * 0 + 14 + 1 = 1615: shift 2, '!', A */
        {{230, 6, 79}, 3, "!A", "]d1", "C40 shift 2, Table C.1"},
        /* 1600 * 2 + 40 * 1 + 0 + 1 = 3241: shift 3, 'a', a shift 1 as fill */
        {{230, 12, 169}, 3, "a", "]d1", "C40 shift 3 and fill, Table C.1"},
        /* 1600 * 1 + 40 * 27 + 14 + 1 = 2695: shift 2, FNC1, A */
        {{230, 10, 135},
         3,
         "\x1D"
         "A",
         "]d1",
         "FNC1 within C40 is a separator, 5.2.5"},
        /* 1600 * 1 + 40 * 30 + 14 + 1 = 2815: upper shift, A */
        {{230, 10, 255}, 3, "\xC1", "]d1", "C40 upper shift, 5.2.5"},
        /* 0, 1, 2 of X12: 0 + 40 + 2 + 1 = 43 */
        {{238, 0, 43}, 3, "\r*>", "]d1", "X12, ISO/IEC 16022 5.2.7"},
        /* A, B, C, D: 000001 000010 000011 000100 */
        {{240, 4, 32, 196}, 4, "ABCD", "]d1", "EDIFACT, 5.2.8"},
        /* A, unlatch: 000001 011111 0000, then ASCII '1' */
        {{240, 5, 240, 50}, 4, "A1", "]d1", "EDIFACT unlatch inside a triple, 5.2.8.2"},
        {{240, 4, 32, 196, 66, 67}, 6, "ABCDAB", "]d1", "two codewords behind EDIFACT are ASCII, 5.2.8.2"},
        {{235, 66}, 2, "\xC1", "]d1", "upper shift, 5.2.4.2"},
        {{66, 129, 70}, 3, "A", "]d1", "pads are not transmitted, 5.2.4.3"},
        {{66, 129, 7}, 3, "A", "]d1", "what a pad holds is not judged"},
        {{232, 220, 87, 130, 131, 153, 55, 129}, 8, "90V0001236", "]d2", "FNC1 first, GS1 General Specifications"},
        {{66, 232, 67}, 3, "AB", "]d3", "FNC1 second behind a letter, ISO/IEC 15424"},
        {{142, 232, 67}, 3, "12B", "]d3", "FNC1 second behind two digits"},
        {{43, 232, 67},
         3,
         "*\x1D"
         "B",
         "]d1",
         "FNC1 second behind neither is a separator"},
        {{232, 66, 232, 67},
         4,
         "A\x1D"
         "B",
         "]d2",
         "a later FNC1 is a separator"},
        {{232, 66, 30, 67},
         4,
         "A\x1D"
         "B",
         "]d2",
         "so is a literal GS"},
        {{30, 66},
         2,
         "\x1D"
         "A",
         "]d1",
         "a leading GS is data, not FNC1"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        check(&cases[i]);
}

/* Base 256: length 2, then 0x00 and 0xFF, at places 2 to 4 (Annex B.2: plus 149 * place mod 255 + 1). */
static void reads_base_256_with_and_without_a_length(void **state)
{
    const uint8_t word_of[] = {149 * 2 % 255 + 1, 149 * 3 % 255 + 1, 149 * 4 % 255 + 1};
    uint8_t words[] = {231, (uint8_t)(2 + word_of[0]), word_of[1], (uint8_t)(255 + word_of[2])};
    struct reader_symbol symbol = {0};
    (void)state;
    for (int length = 2; length >= 0; length -= 2) { /* 0: to the end */
        words[1] = (uint8_t)(length + word_of[0]);
        assert_true(decodation_read(words, sizeof words, &symbol));
        assert_int_equal(symbol.length, 2);
        assert_int_equal(symbol.bytes[0], 0);
        assert_int_equal(symbol.bytes[1], 255);
    }
}

static void reports_the_first_eci_and_passes_the_bytes(void **state)
{
    static const struct {
        uint8_t words[8];
        size_t count;
        int eci;
        const char *symbology;
    } cases[] = {
        {{241, 27, 66}, 3, 26, "]d4"},
        {{241, 128, 1, 66}, 4, 127, "]d4"}, /* (128 - 128) * 254 + 1 - 1 + 127 */
        {{241, 191, 254, 66}, 4, 16382, "]d4"},
        {{241, 192, 1, 1, 66}, 5, 16383, "]d4"},
        {{232, 241, 4, 66}, 4, 3, "]d5"},
        {{66, 232, 241, 4, 67}, 5, 3, "]d6"},
        {{241, 4, 66, 241, 27, 67}, 6, 3, "]d4"},
    };
    (void)state; /* ISO/IEC 16022:2006, 5.2.4.8, Table 6; ISO/IEC 15424 for the identifiers */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct reader_symbol symbol = {0};
        assert_true(decodation_read(cases[i].words, cases[i].count, &symbol));
        assert_int_equal(symbol.eci, cases[i].eci);
        assert_string_equal(symbol.symbology, cases[i].symbology);
    }
}

static void reports_structured_append_and_fnc1_behind_it(void **state)
{
    struct reader_symbol symbol = {0};
    (void)state; /* ISO/IEC 16022:2006, 5.6.2: third of seven = 0010 1010, in the standard's own example */
    assert_true(decodation_read((const uint8_t[]){233, 42, 1, 5, 66}, 5, &symbol));
    assert_int_equal(symbol.structured_index, 3);
    assert_int_equal(symbol.structured_total, 7);
    assert_int_equal(symbol.structured_file, 256 + 5);
    assert_string_equal(symbol.symbology, "]d1");
    assert_true(decodation_read((const uint8_t[]){233, 15, 1, 1, 232, 66}, 6, &symbol));
    assert_string_equal(symbol.symbology, "]d2");
    assert_int_equal(symbol.structured_total, 2);
}

static void reports_reader_programming(void **state)
{
    struct reader_symbol symbol = {0};
    (void)state;
    assert_true(decodation_read((const uint8_t[]){234, 66}, 2, &symbol));
    assert_true(symbol.reader_programming);
    assert_int_equal(symbol.length, 1);
    assert_true(decodation_read((const uint8_t[]){66}, 1, &symbol));
    assert_false(symbol.reader_programming);
}

static void illegal_codewords_are_no_read_and_touch_nothing(void **state)
{
    static const struct {
        uint8_t words[8];
        size_t count;
        const char *why;
    } cases[] = {
        {{0}, 1, "0"},
        {{66, 242}, 2, "242"},
        {{66, 255}, 2, "255"},
        {{66, 254}, 2, "unlatch in ASCII"},
        {{129, 56}, 2, "nothing but pads"},
        {{232, 129}, 2, "FNC1 and nothing"},
        {{66, 237}, 2, "macro not first"},
        {{66, 234}, 2, "reader programming not first"},
        {{66, 233, 42, 1, 1}, 5, "structured append not first"},
        {{233, 42, 1}, 3, "structured append cut"},
        {{233, 0x3F, 1, 1, 66}, 5, "fourth of two"},
        {{233, 0x00, 1, 1, 66}, 5, "a series of seventeen"},
        {{233, 42, 0, 1, 66}, 5, "file identification 0"},
        {{66, 235}, 2, "upper shift of nothing"},
        {{235, 142}, 2, "upper shift of a digit pair"},
        {{230, 0, 0, 66}, 4, "C40 value below 0"},
        {{230, 255, 255, 66}, 4, "C40 value of 40"},
        {{230, 10, 175, 66}, 4, "C40 shift 2 value 28 is reserved"}, /* 1600 + 40 * 28 + 14 + 1 */
        {{66, 241}, 2, "ECI of nothing"},
        {{241, 0, 66}, 3, "ECI 0"},
        {{241, 208, 1, 1, 66}, 5, "ECI above 207"},
        {{241, 130, 255, 66}, 4, "ECI second codeword 255"},
        {{241, 207, 254, 254, 66}, 5, "ECI above 999999"},
        {{66, 231}, 2, "base 256 without length"},
        {{231, 200, 1}, 3, "base 256 longer than the symbol"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct reader_symbol symbol, before;
        memset(&symbol, 0x5A, sizeof symbol);
        memcpy(&before, &symbol, sizeof symbol);
        if (decodation_read(cases[i].words, cases[i].count, &symbol))
            fail_msg("%s was read", cases[i].why);
        assert_memory_equal(&symbol, &before, sizeof symbol);
    }
}

static void holds_the_most_a_symbol_can_say(void **state)
{
    uint8_t words[READER_CODEWORDS];
    struct reader_symbol symbol = {0};
    (void)state;
    memset(words, 229, sizeof words);
    words[0] = 237;
    assert_true(decodation_read(words, sizeof words, &symbol));
    assert_int_equal(symbol.length, 7 + 2 * (READER_CODEWORDS - 1) + 2);
    assert_int_equal(symbol.bytes[symbol.length - 1], 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_published_codewords),
        cmocka_unit_test(reads_each_encodation),
        cmocka_unit_test(reads_base_256_with_and_without_a_length),
        cmocka_unit_test(reports_the_first_eci_and_passes_the_bytes),
        cmocka_unit_test(reports_structured_append_and_fnc1_behind_it),
        cmocka_unit_test(reports_reader_programming),
        cmocka_unit_test(illegal_codewords_are_no_read_and_touch_nothing),
        cmocka_unit_test(holds_the_most_a_symbol_can_say),
    };
    return cmocka_run_group_tests_name("reading/decodation", tests, NULL, NULL);
}
