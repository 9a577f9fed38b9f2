#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/reading/decodation.h"
#include "labels/reading/module_matrix.h"
#include "labels/reading/reed_solomon.h"
#include "tests/reading/zint_modules.h"

/* Published symbols, codeword by codeword: data words, check words, text. The symbols of ISO/IEC 16022, GS1 and ANSI
 * MH10.8.17 are as two encoders lay them out that are not ours (zint's test vectors hold their bitmaps); pads follow
 * ISO/IEC 16022 Annex B.1. */

struct published {
    int rows, columns;
    uint8_t data[64], check[40];
    const char *text, *symbology, *zint; /* zint: the same in its notation, NULL where it chooses another encodation */
    const char *source;
};

static const struct published published[] = {
    {10, 10, {142, 164, 186}, {114, 25, 5, 88, 102}, "123456", "]d1", "123456", "ISO/IEC 16022 fig. O.2"},
    {18,
     18,
     {230, 88, 88, 40, 8, 107, 147, 59, 67, 126, 206, 78, 126, 144, 121, 35, 47, 254},
     {246, 155, 30, 160, 97, 208, 169, 250, 111, 247, 35, 138, 224, 54},
     "A1B2C3D4E5F6G7H8I9J0K1L2",
     "]d1",
     NULL,
     "ISO/IEC 16022 fig. 1"},
    {16,
     16,
     {160, 82, 162, 173, 173, 173, 137, 224, 61, 80, 82, 82},
     {51, 206, 8, 156, 167, 231, 228, 207, 129, 78, 82, 164},
     "30Q324343430794<OQQ",
     "]d1",
     "30Q324343430794<OQQ",
     "ISO/IEC 16022 fig. R.1"},
    {20,
     20,
     {232, 131, 139, 180, 141, 131, 183, 130, 133, 147, 145, 131, 149, 140, 66, 67, 46, 142, 52, 129, 223, 118},
     {168, 82, 72, 128, 231, 170, 149, 102, 140, 104, 143, 189, 31, 98, 150, 212, 71, 211},
     "01095011015300031715011910AB-123",
     "]d2",
     "[01]09501101530003[17]150119[10]AB-123",
     "GS1 General Specifications, fig. of (01)09501101530003"},
    {18,
     18,
     {232, 131, 130, 131, 153, 175, 197, 219, 135, 147, 134, 131, 145, 129, 87, 237, 133, 28},
     {183, 6, 185, 56, 241, 46, 16, 127, 147, 78, 210, 82, 119, 96},
     "010001234567890517040115",
     "]d2",
     "[01]00012345678905[17]040115",
     "GS1 General Specifications, fig. of (01)00012345678905, square"},
    {12,
     26,
     {232, 131, 130, 131, 153, 175, 197, 219, 135, 147, 134, 131, 145, 129, 87, 237},
     {147, 70, 147, 71, 185, 211, 189, 9, 154, 160, 196, 206, 96, 24},
     "010001234567890517040115",
     "]d2",
     "[01]00012345678905[17]040115",
     "the same, rectangular"},
    {10,
     10,
     {236, 66, 129},
     {93, 23, 73, 246, 182},
     "[)>\x1E"
     "05\x1D"
     "A\x1E\x04",
     "]d1",
     "[)>\x1E"
     "05\x1D"
     "A\x1E\x04",
     "zint 2.11.1 test vector, macro 05"},
    {14,
     14,
     {232, 220, 87, 130, 131, 153, 55, 129},
     {130, 107, 197, 108, 138, 86, 42, 229, 198, 131},
     "90V0001236",
     "]d2",
     "[90]V0001236",
     "bwip-js 4.11.4, AI 90"},
    {12,
     12,
     {85, 70, 84, 85, 129},
     {125, 231, 139, 243, 125, 208, 115},
     "TEST",
     "]d1",
     "TEST",
     "zint 2.11.1 test vector"},
    {32,
     32,
     {230, 89,  233, 109, 36,  128, 95,  147, 154, 166, 213, 186, 16,  205, 75,  224, 134, 243, 157, 254, 142,
      164, 186, 208, 58,  129, 104, 254, 150, 45,  195, 90,  240, 136, 31,  181, 76,  226, 121, 17,  167, 62,
      212, 107, 3,   153, 48,  198, 93,  243, 139, 34,  184, 79,  229, 124, 20,  170, 65,  215, 110, 6},
     {29, 28,  34, 181, 198, 186, 38,  222, 17,  155, 153, 139, 108, 163, 119, 199, 172, 177,
      78, 180, 74, 224, 109, 194, 122, 190, 143, 226, 80,  96,  58,  88,  228, 144, 88,  201},
     "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789",
     "]d1",
     NULL,
     "zint 2.11.1 test vector"},
    {16,
     16,
     {237, 155, 84, 136, 144, 144, 50, 78, 73, 210, 161, 51},
     {109, 213, 223, 122, 193, 134, 237, 31, 8, 155, 81, 17},
     "[)>\x1E"
     "06\x1D"
     "25S0614141MH80312\x1E\x04",
     "]d1",
     "[)>\x1E"
     "06\x1D"
     "25S0614141MH80312\x1E\x04",
     "ANSI MH10.8.17-2017, format 06"},
    {16,
     16,
     {236, 210, 134, 136, 144, 144, 50, 78, 73, 210, 161, 51},
     {53, 99, 41, 185, 134, 51, 76, 64, 153, 156, 242, 85},
     "[)>\x1E"
     "05\x1D"
     "80040614141MH80312\x1E\x04",
     "]d1",
     "[)>\x1E"
     "05\x1D"
     "80040614141MH80312\x1E\x04",
     "ANSI MH10.8.17-2017, format 05"},
    {22,
     22,
     {237, 84, 87,  130, 131, 153, 55,  30,  50, 85,  83, 84,  154, 141, 56,
      67,  30, 146, 69,  150, 156, 132, 144, 30, 144, 69, 150, 156, 138, 144},
     {128, 249, 90, 4, 48, 50, 165, 205, 42, 154, 152, 43, 186, 169, 251, 199, 35, 111, 137, 3},
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "1TRS24117B\x1D"
     "16D20260214\x1D"
     "14D20260814\x1E\x04",
     "]d1",
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "1TRS24117B\x1D"
     "16D20260214\x1D"
     "14D20260814\x1E\x04",
     "zint 2.11.1 and bwip-js 4.11.4 agree: vat case"},
    {24,
     24,
     {237, 84,  68,  130, 172, 147, 85,  30,  50,  85,  77, 154, 141, 56,  30,  146, 69, 150,
      156, 131, 161, 30,  144, 69,  150, 157, 131, 161, 30, 56,  82,  140, 130, 78,  77, 129},
     {81, 14, 237, 216, 0, 46, 216, 196, 236, 36, 241, 196, 135, 170, 254, 70, 174, 218, 12, 2, 113, 239, 149, 103},
     "[)>\x1E"
     "06\x1D"
     "SC004217T\x1D"
     "1TL24117\x1D"
     "16D20260131\x1D"
     "14D20270131\x1D"
     "7Q1000ML\x1E\x04",
     "]d1",
     "[)>\x1E"
     "06\x1D"
     "SC004217T\x1D"
     "1TL24117\x1D"
     "16D20260131\x1D"
     "14D20270131\x1D"
     "7Q1000ML\x1E\x04",
     "zint and bwip-js agree: cartridge"},
    {14,
     14,
     {237, 77, 66, 133, 46, 142, 129, 56},
     {73, 220, 5, 16, 193, 184, 116, 199, 219, 85},
     "[)>\x1E"
     "06\x1D"
     "LA03-12\x1E\x04",
     "]d1",
     "[)>\x1E"
     "06\x1D"
     "LA03-12\x1E\x04",
     "zint and bwip-js agree: place"},
    {18,
     18,
     {237, 84, 87, 130, 131, 153, 55, 30, 144, 69, 150, 156, 138, 144, 129, 237, 133, 28},
     {213, 191, 244, 175, 219, 179, 135, 81, 67, 21, 139, 187, 123, 46},
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "14D20260814\x1E\x04",
     "]d1",
     "[)>\x1E"
     "06\x1D"
     "SV0001236\x1D"
     "14D20260814\x1E\x04",
     "zint and bwip-js agree: serial and expiry"},
    {22,
     22,
     {232, 131, 139, 180, 190, 130, 143, 173, 182, 147, 157, 131, 161, 143, 156,
      131, 161, 140, 77,  154, 141, 56,  232, 151, 68,  130, 172, 147, 85,  129},
     {187, 237, 56, 166, 32, 235, 200, 161, 193, 143, 183, 82, 205, 140, 43, 228, 130, 25, 141, 194},
     "01095060001343521727013113260131"
     "10L24117\x1D"
     "21C004217T",
     "]d2",
     "[01]09506000134352[17]270131[13]260131[10]L24117[21]C004217T",
     "zint and bwip-js agree: the same as GS1"},
};
enum { PUBLISHED = sizeof published / sizeof *published };

static const struct symbol_size *size_of(const struct published *one)
{
    const struct symbol_size *size = symbol_size_find(one->rows, one->columns);
    assert_non_null(size);
    return size;
}

static int zint_size(const struct symbol_size *size)
{
    for (int i = 0; i < SYMBOL_SIZES; i++)
        if (symbol_size_at((size_t)i) == size)
            return i + 1;
    return 0;
}

static void check_words_are_the_published_ones(void **state)
{
    (void)state;
    for (int i = 0; i < PUBLISHED; i++) {
        const struct symbol_size *size = size_of(&published[i]);
        uint8_t words[SYMBOL_CODEWORDS] = {0};
        memcpy(words, published[i].data, (size_t)size->data);
        reed_solomon_extend(size, words);
        if (memcmp(words + size->data, published[i].check, (size_t)size->check) != 0)
            fail_msg("%s", published[i].source);
    }
}

static void texts_and_identifiers_are_the_published_ones(void **state)
{
    static struct reader_symbol symbol;
    (void)state;
    for (int i = 0; i < PUBLISHED; i++) {
        const struct published *one = &published[i];
        if (!decodation_read(one->data, (size_t)size_of(one)->data, &symbol))
            fail_msg("%s: no read", one->source);
        if (symbol.length != strlen(one->text) || memcmp(symbol.bytes, one->text, symbol.length) != 0)
            fail_msg("%s: read as '%.*s'", one->source, (int)symbol.length, (const char *)symbol.bytes);
        assert_string_equal(symbol.symbology, one->symbology);
    }
}

/* Published words laid out by our placement are, module by module, what zint makes of the published text. */
static void modules_are_those_of_zint(void **state)
{
    static struct zint_modules made;
    static struct reader_symbol symbol;
    int compared = 0;
    (void)state;
    for (int i = 0; i < PUBLISHED; i++) {
        const struct published *one = &published[i];
        const struct symbol_size *size = size_of(one);
        uint8_t words[SYMBOL_CODEWORDS], modules[SYMBOL_MODULES];
        double finder = 0;
        memcpy(words, one->data, (size_t)size->data);
        memcpy(words + size->data, one->check, (size_t)size->check);
        module_matrix_write(size, words, modules);
        assert_true(module_matrix_accept(size, modules, NULL, NULL, &finder, &symbol));
        assert_memory_equal(symbol.codewords, one->data, (size_t)size->data);
        if (!one->zint)
            continue;
        const struct zint_wish wish = {.text = one->zint,
                                       .mode = strcmp(one->symbology, "]d2") == 0 ? GS1_MODE : DATA_MODE,
                                       .size = zint_size(size)};
        if (!zint_modules_make(&wish, &made))
            fail_msg("%s: zint refuses", one->source);
        if (made.size != size || memcmp(made.modules, modules, (size_t)size->rows * (size_t)size->columns) != 0)
            fail_msg("%s: zint's modules are others", one->source);
        compared++;
    }
    assert_int_equal(compared, PUBLISHED - 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_words_are_the_published_ones),
        cmocka_unit_test(texts_and_identifiers_are_the_published_ones),
        cmocka_unit_test(modules_are_those_of_zint),
    };
    return cmocka_run_group_tests_name("reading/published", tests, NULL, NULL);
}
