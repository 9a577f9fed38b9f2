#include "labels/reading/module_matrix.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <dmtx.h>

#include "tests/reading/random.h"
#include "tests/reading/zint_modules.h"

/* libdmtx 0.7.7 (Debian) as a second reader of the same modules. It is no judge alone: its corrector accepts what is no
 * codeword, it drops FNC1 and takes an ECI for text, and 144x144 does not decode with it; so plain texts are compared,
 * in every other size of ISO/IEC 16022 Table 7, whole and with damage within the symbol's means. */

enum { TEXT_MOST = 1600, SIZES = 30, LARGEST = 24 /* zint's number of 144x144 */ };

/* libdmtx counts squares 0 to 23, then rectangles; zint from 1. */
static int libdmtx_size(int zint_size)
{
    return zint_size - 1;
}

/* The mapping matrix alone, without finders. The text libdmtx makes of it; false when it finds none. */
static bool libdmtx_read(const struct zint_modules *made, int size_index, uint8_t *text, size_t *length)
{
    const int rows = dmtxGetSymbolAttribute(DmtxSymAttribMappingMatrixRows, size_index);
    const int columns = dmtxGetSymbolAttribute(DmtxSymAttribMappingMatrixCols, size_index);
    const int region_rows = dmtxGetSymbolAttribute(DmtxSymAttribDataRegionRows, size_index);
    const int region_columns = dmtxGetSymbolAttribute(DmtxSymAttribDataRegionCols, size_index);
    DmtxMessage *message = dmtxMessageCreate(size_index, DmtxFormatMatrix);
    assert_non_null(message);
    for (int r = 0; r < rows; r++)
        for (int c = 0; c < columns; c++) {
            const int row = 1 + r + 2 * (r / region_rows), column = 1 + c + 2 * (c / region_columns);
            const bool dark = made->modules[row * made->size->columns + column];
            message->array[r * columns + c] = (unsigned char)(DmtxModuleAssigned | (dark ? DmtxModuleOnRGB : 0));
        }
    DmtxMessage *read = dmtxDecodePopulatedArray(size_index, message, DmtxUndefined); /* frees it when it fails */
    if (!read)
        return false;
    *length = (size_t)read->outputIdx;
    const bool fits = *length <= TEXT_MOST * 2;
    if (fits)
        memcpy(text, read->output, *length);
    dmtxMessageDestroy(&read);
    return fits;
}

static void random_text(uint64_t *random, char *text, size_t length)
{
    static const char *const alphabets[] = {"0123456789", "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789",
                                            "abcdefghijklmnopqrstuvwxyz 0123456789", "ABC-*>\r 123",
                                            " !\"#$%&'()*+,-./:;<=>?@[\\]^_{|}~AZaz09"};
    for (size_t i = 0; i < length;) {
        const char *alphabet = alphabets[random_below(random, 5)];
        const size_t run = 1 + (size_t)random_below(random, 12);
        for (size_t j = 0; j < run && i < length; j++, i++)
            text[i] = alphabet[random_below(random, (int)strlen(alphabet))];
    }
    text[length] = '\0';
}

static void flip_some(uint64_t *random, struct zint_modules *made, int flips)
{
    for (int i = 0; i < flips; i++) /* inside the frame: the finder is not what is corrected */
        made->modules[(1 + random_below(random, made->size->rows - 2)) * made->size->columns + 1 +
                      random_below(random, made->size->columns - 2)] ^= 1;
}

static void compare(uint64_t *random, int zint_size, int flips, int *compared)
{
    static uint8_t theirs[TEXT_MOST * 2];
    static struct reader_symbol ours;
    static struct zint_modules made;
    char text[TEXT_MOST + 1];
    size_t length = 0;
    const int capacity = dmtxGetSymbolAttribute(DmtxSymAttribSymbolDataWords, libdmtx_size(zint_size));
    random_text(random, text, 1 + (size_t)random_below(random, capacity));
    const struct zint_wish wish = {.text = text, .size = zint_size};
    if (!zint_modules_make(&wish, &made))
        return; /* too long for this size in zint's encodation */
    flip_some(random, &made, flips);
    const bool we_read = module_matrix_read(made.size, made.modules, NULL, NULL, &ours);
    const bool they_read = libdmtx_read(&made, libdmtx_size(zint_size), theirs, &length);
    if (!we_read)
        fail_msg("size %d, %d flips: '%s' not read by us", zint_size, flips, text);
    if (ours.length != strlen(text) || memcmp(ours.bytes, text, ours.length) != 0)
        fail_msg("size %d, %d flips: '%s' read as '%.*s'", zint_size, flips, text, (int)ours.length,
                 (char *)ours.bytes);
    if (they_read && (length != ours.length || memcmp(theirs, ours.bytes, length) != 0))
        fail_msg("size %d, %d flips: we read '%s', libdmtx '%.*s'", zint_size, flips, text, (int)length,
                 (char *)theirs);
    *compared += they_read;
}

static void whole_symbols_of_every_size_read_the_same(void **state)
{
    uint64_t random = 20260214;
    int compared = 0;
    (void)state;
    for (int size = 1; size <= SIZES; size++)
        for (int i = 0; size != LARGEST && i < 12; i++)
            compare(&random, size, 0, &compared);
    assert_true(compared > 200); /* most texts fit and are read by both */
}

static void symbols_with_two_wrong_modules_read_the_same(void **state)
{
    uint64_t random = 19990109;
    int compared = 0;
    (void)state;
    for (int size = 4; size <= SIZES; size++) /* from 16x16 on two wrong modules are within every symbol's means */
        for (int i = 0; size != LARGEST && size != 25 && i < 12; i++)
            compare(&random, size, 2, &compared);
    assert_true(compared > 180);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_symbols_of_every_size_read_the_same),
        cmocka_unit_test(symbols_with_two_wrong_modules_read_the_same),
    };
    return cmocka_run_group_tests_name("reading/libdmtx_oracle", tests, NULL, NULL);
}
