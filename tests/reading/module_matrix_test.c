#include "labels/reading/module_matrix.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/basics/text.h"
#include "labels/reading/reed_solomon.h"
#include "tests/reading/random.h"
#include "tests/reading/zint_modules.h"

/* rows[i]: the modules of a row as a number, the leftmost module its most significant bit. */
static void spread(const struct symbol_size *size, const uint32_t *rows, uint8_t *modules)
{
    for (int row = 0; row < size->rows; row++)
        for (int column = 0; column < size->columns; column++)
            modules[row * size->columns + column] = rows[row] >> (size->columns - 1 - column) & 1;
}

struct published {
    int side;
    uint32_t rows[24];
    const char *text;
    uint8_t words[24];
    size_t words_given;
    const char *source;
};

static const struct published published[] = {
    {10,
     {0x2AA, 0x32D, 0x304, 0x31D, 0x308, 0x20F, 0x3B0, 0x3D9, 0x274, 0x3FF},
     "123456",
     {142, 164, 186},
     3,
     "ISO/IEC 16022 fig. O.2"},
    {22,
     {0x2AAAAA, 0x2F15FD, 0x2A4D1C, 0x302845, 0x39A184, 0x36C707, 0x22AC84, 0x32D407, 0x3A5124, 0x2512DD, 0x3AAC1C,
      0x29534F, 0x3B295E, 0x26E911, 0x283BCE, 0x2548A1, 0x222D5A, 0x20B3A7, 0x2E4EE2, 0x39A0CD, 0x312892, 0x3FFFFF},
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "1TRS24117B\x1D"
     "16D20260214\x1D"
     "14D20260814\x1E\x04",
     {237, 84, 87, 130, 131, 153, 55, 30, 50, 85, 83, 84},
     12,
     "zint 2.11.1 and bwip-js 4.11.4 agree"},
    {24,
     {0xAAAAAA, 0xB041D1, 0xA91B18, 0xCB54C1, 0xE8D494, 0xD2808F, 0xD9AF74, 0xCD4035,
      0xAACEA0, 0x95D87D, 0xEA448A, 0xA115CB, 0xE603B4, 0xA4C879, 0x8BF472, 0xF5BC1F,
      0xCBB6D4, 0xB9F2BD, 0x800F6A, 0xD1C615, 0xC0C41A, 0xAA08A5, 0xB0A73A, 0xFFFFFF},
     "[)>\x1E"
     "06\x1D"
     "SC004217T\x1D"
     "1TL24117\x1D"
     "16D20260131\x1D"
     "14D20270131\x1D"
     "7Q1000ML\x1E\x04",
     {237, 84, 68, 130, 172, 147, 85, 30},
     8,
     "zint 2.11.1 and bwip-js 4.11.4 agree"},
    {14,
     {0x2AAA, 0x2A1F, 0x24A0, 0x3685, 0x3B28, 0x320F, 0x2C10, 0x2777, 0x2BE4, 0x2C0D, 0x27EA, 0x25B5, 0x2588, 0x3FFF},
     "[)>\x1E"
     "06\x1D"
     "LA03-12\x1E\x04",
     {237, 77, 66, 133, 46, 142, 129, 56},
     8,
     "zint 2.11.1 and bwip-js 4.11.4 agree"},
    {18,
     {0x2AAAA, 0x2F101, 0x2A472, 0x304AF, 0x39BAC, 0x3740D, 0x228A0, 0x339AF, 0x38E22, 0x35515, 0x2AA2A, 0x23DC9,
      0x3FE9A, 0x2DBE7, 0x28D76, 0x2AFDB, 0x3A9AA, 0x3FFFF},
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "14D20260814\x1E\x04",
     {237, 84, 87, 130, 131, 153, 55, 30, 144, 69, 150, 156, 138, 144, 129, 237, 133, 28},
     18,
     "zint 2.11.1 and bwip-js 4.11.4 agree"},
};

static void reads_the_modules_of_published_symbols(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof published / sizeof *published; i++) {
        const struct published *one = &published[i];
        const struct symbol_size *size = symbol_size_find(one->side, one->side);
        uint8_t modules[SYMBOL_MODULES];
        struct reader_symbol symbol = {0};
        spread(size, one->rows, modules);
        if (!module_matrix_read(size, modules, NULL, NULL, &symbol))
            fail_msg("%s: no read of %s", one->source, one->text);
        assert_int_equal(symbol.length, strlen(one->text));
        assert_memory_equal(symbol.bytes, one->text, symbol.length);
        assert_memory_equal(symbol.codewords, one->words, one->words_given);
        assert_int_equal(symbol.codeword_count, size->data);
        assert_int_equal(symbol.corrected, 0);
        assert_int_equal(symbol.rows, one->side);
        assert_int_equal(symbol.eci, -1);
        assert_string_equal(symbol.symbology, "]d1");
        int of = 0;
        const int right = module_matrix_finder_right(size, modules, &of);
        assert_int_equal(right, of);
        assert_int_equal(of, 4 * one->side - 4);
    }
}

static void writes_the_modules_of_a_published_symbol(void **state)
{
    uint8_t words[] = {142, 164, 186, 114, 25, 5, 88, 102}, wanted[100], modules[100];
    const struct symbol_size *size = symbol_size_find(10, 10);
    (void)state; /* ISO/IEC 16022 fig. O.2 */
    spread(size, published[0].rows, wanted);
    module_matrix_write(size, words, modules);
    assert_memory_equal(modules, wanted, sizeof wanted);
}

static void check_zint(const struct zint_wish *wish, const char *text, size_t length, struct reader_symbol *symbol)
{
    static const char nothing[] = "";
    struct zint_modules made;
    char shown[400];
    if (!zint_modules_make(wish, &made))
        fail_msg("zint refuses %s in size %d", wish->text, wish->size);
    if (!module_matrix_read(made.size, made.modules, NULL, NULL, symbol))
        fail_msg("%dx%d of mode %d: no read of %s", made.size->rows, made.size->columns, wish->mode,
                 text_show((struct span){text, length}, shown, sizeof shown));
    if (symbol->length != length || memcmp(symbol->bytes, text ? text : nothing, length) != 0)
        fail_msg("%dx%d: %s", made.size->rows, made.size->columns,
                 text_show((struct span){(const char *)symbol->bytes, symbol->length}, shown, sizeof shown));
    assert_int_equal(symbol->corrected, 0);
    int of = 0;
    const int right = module_matrix_finder_right(made.size, made.modules, &of);
    assert_int_equal(right, of);
}

static void reads_what_zint_writes_in_every_size_and_encodation(void **state)
{
    static const char *const alphabets[] = {
        "0123456789",                                   /* digit pairs */
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ",        /* C40 */
        "abcdefghijklmnopqrstuvwxyz0123456789 ",        /* Text */
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789*>\r ",    /* X12 */
        "ABC.,-/:;<=>?@[]^!#$%&'()*+0123456789",        /* EDIFACT */
        "\xE4\xF6\xFC\xDF\xC4\xD6\xDC\xB5\xB0\xE9\xFF", /* base 256, upper shift */
        "Ab1!\x1D\x02~}z_`\xE4",                        /* changes */
    };
    uint64_t seed = 2111;
    (void)state;
    for (int size = 1; size <= 48; size++) {
        const int data = symbol_size_at((size_t)size - 1)->data;
        for (size_t a = 0; a < sizeof alphabets / sizeof *alphabets; a++)
            for (int round = 0; round < (data > 300 ? 2 : 8); round++) {
                char text[SYMBOL_DATA * 2];
                int length = 1 + random_below(&seed, data / 2); /* fits in any encodation: most are 1 or 2 a word */
                for (int i = 0; i < length; i++)
                    text[i] = alphabets[a][random_below(&seed, (int)strlen(alphabets[a]))];
                struct zint_modules made;
                const struct zint_wish wish = {.text = text, .length = (size_t)length, .mode = DATA_MODE, .size = size};
                while (length > 1 &&
                       !zint_modules_make(
                           &(struct zint_wish){.text = text, .length = (size_t)length, .mode = DATA_MODE, .size = size},
                           &made))
                    length--;
                struct reader_symbol symbol = {0};
                struct zint_wish fitting = wish;
                fitting.length = (size_t)length;
                if (zint_modules_make(&fitting, &made))
                    check_zint(&fitting, text, (size_t)length, &symbol);
            }
    }
}

static void reads_random_mixtures_that_zint_encodes(void **state)
{
    uint64_t seed = 4711;
    (void)state;
    for (int round = 0; round < 1500; round++) {
        char text[80];
        const int length = 1 + random_below(&seed, 60);
        int kind = 0;
        for (int i = 0; i < length; i++) { /* runs of one kind make the encoder change its encodation */
            if (random_below(&seed, 6) == 0)
                kind = random_below(&seed, 6);
            text[i] = (char)(kind == 0   ? '0' + random_below(&seed, 10)
                             : kind == 1 ? 'A' + random_below(&seed, 26)
                             : kind == 2 ? 'a' + random_below(&seed, 26)
                             : kind == 3 ? 32 + random_below(&seed, 63)
                             : kind == 4 ? 1 + random_below(&seed, 127)
                                         : 128 + random_below(&seed, 128));
        }
        struct reader_symbol symbol = {0};
        check_zint(&(struct zint_wish){.text = text, .length = (size_t)length, .mode = DATA_MODE}, text, (size_t)length,
                   &symbol);
    }
}

static void tells_fnc1_from_a_literal_gs(void **state)
{
    struct reader_symbol symbol = {0};
    const char gs1[] = "[01]09506000134352[10]L24117[21]C004217T";
    const char bytes[] = "0109506000134352"
                         "10L24117\x1D"
                         "21C004217T";
    (void)state; /* GS1 General Specifications: FNC1 first makes it GS1; as a separator it is transmitted as GS */
    check_zint(&(struct zint_wish){.text = gs1, .mode = GS1_MODE}, bytes, sizeof bytes - 1, &symbol);
    assert_string_equal(symbol.symbology, "]d2");
    assert_int_equal(symbol.codewords[0], 232);
    check_zint(&(struct zint_wish){.text = gs1, .mode = GS1_MODE, .options = GS1_GS_SEPARATOR}, bytes, sizeof bytes - 1,
               &symbol);
    assert_string_equal(symbol.symbology, "]d2");
    const char literal[] = "\x1D"
                           "0109506000134352";
    check_zint(&(struct zint_wish){.text = literal, .mode = DATA_MODE}, literal, sizeof literal - 1, &symbol);
    assert_string_equal(symbol.symbology, "]d1");
}

static void reports_eci_structured_append_and_reader_programming_of_zint(void **state)
{
    static const int ecis[] = {3, 26, 126, 127, 128, 899, 16382, 16383, 100000, 999999};
    struct reader_symbol symbol = {0};
    (void)state;
    for (size_t i = 0; i < sizeof ecis / sizeof *ecis; i++) {
        check_zint(&(struct zint_wish){.text = "ABC", .mode = DATA_MODE, .eci = ecis[i]}, "ABC", 3, &symbol);
        assert_int_equal(symbol.eci, ecis[i]);
        assert_string_equal(symbol.symbology, "]d4");
    }
    check_zint(&(struct zint_wish){.text = "\xC3\xA9\xE2\x82\xAC", .mode = UNICODE_MODE, .eci = 26},
               "\xC3\xA9\xE2\x82\xAC", 5, &symbol);
    assert_int_equal(symbol.eci, 26);
    for (int total = 2; total <= 16; total++) {
        const struct zint_wish wish = {.text = "PART",
                                       .mode = DATA_MODE,
                                       .structured_index = total - 1,
                                       .structured_total = total,
                                       .structured_id = "007254"};
        check_zint(&wish, "PART", 4, &symbol);
        assert_int_equal(symbol.structured_index, total - 1);
        assert_int_equal(symbol.structured_total, total);
        assert_int_equal(symbol.structured_file, 7 * 256 + 254);
    }
    check_zint(&(struct zint_wish){.text = "SETUP", .mode = DATA_MODE, .options = READER_INIT}, "SETUP", 5, &symbol);
    assert_true(symbol.reader_programming);
}

static void reads_back_the_largest_size_through_our_own_writer(void **state)
{
    const struct symbol_size *size = symbol_size_find(144, 144);
    uint8_t words[SYMBOL_CODEWORDS], modules[SYMBOL_MODULES];
    struct reader_symbol symbol = {0};
    uint64_t seed = 144;
    (void)state;
    for (int i = 0; i < size->data; i++)
        words[i] = (uint8_t)(1 + random_below(&seed, 128));
    reed_solomon_extend(size, words);
    module_matrix_write(size, words, modules);
    for (int i = 0; i < 150; i++)
        modules[(2 + i / 12) * 144 + 2 + i % 12] ^= 1; /* a scratch */
    assert_true(module_matrix_read(size, modules, NULL, NULL, &symbol));
    assert_int_equal(symbol.length, size->data);
    assert_true(symbol.corrected > 0);
    for (int i = 0; i < size->data; i++)
        assert_int_equal(symbol.bytes[i], words[i] - 1);
}

static void corrects_damaged_modules_or_reports_nothing(void **state)
{
    const struct symbol_size *size = symbol_size_find(22, 22);
    uint8_t right[SYMBOL_MODULES], modules[SYMBOL_MODULES];
    uint64_t seed = 22;
    int read = 0;
    (void)state;
    spread(size, published[1].rows, right);
    for (int round = 0; round < 2000; round++) {
        memcpy(modules, right, 22 * 22);
        const int flips = random_below(&seed, 40);
        for (int i = 0; i < flips; i++)
            modules[random_below(&seed, 22 * 22)] ^= 1;
        struct reader_symbol symbol = {0};
        if (module_matrix_read(size, modules, NULL, NULL, &symbol)) {
            read++;
            assert_int_equal(symbol.length, strlen(published[1].text));
            assert_memory_equal(symbol.bytes, published[1].text, symbol.length);
        } else {
            assert_true(flips > reed_solomon_bound(size));
        }
    }
    assert_true(read > 500);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_the_modules_of_published_symbols),
        cmocka_unit_test(writes_the_modules_of_a_published_symbol),
        cmocka_unit_test(reads_what_zint_writes_in_every_size_and_encodation),
        cmocka_unit_test(reads_random_mixtures_that_zint_encodes),
        cmocka_unit_test(tells_fnc1_from_a_literal_gs),
        cmocka_unit_test(reports_eci_structured_append_and_reader_programming_of_zint),
        cmocka_unit_test(reads_back_the_largest_size_through_our_own_writer),
        cmocka_unit_test(corrects_damaged_modules_or_reports_nothing),
    };
    return cmocka_run_group_tests_name("reading/module_matrix", tests, NULL, NULL);
}
