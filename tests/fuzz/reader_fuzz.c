#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/reading/mask.h"
#include "labels/reading/module_matrix.h"
#include "labels/reading/reader.h"
#include "labels/reading/reed_solomon.h"

/* Three bytes: the sides, and whether the rest are pixels, repeated when there are too few, or a symbol's words and the
 * damage done to its picture; cartons' codes are looked for where the first has its highest bit. Any grey picture must
 * come to an end, what is reported must be whole, and vector instructions must report what portable code does. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { SIDES = 97, GAP = 3 }; /* small pictures: the search is the same, and a run stays quick */

static uint8_t pixels[SIDES * (SIDES + GAP)];

static void fill(const struct grey *grey, const uint8_t *data, size_t length)
{
    size_t i = 0;
    for (int y = 0; y < grey->height; y++)
        for (int x = 0; x < grey->width; x++)
            pixels[(size_t)y * grey->stride + (size_t)x] = data[i++ % length];
}

/* Upright, with 3 pixels a module and more where it fits, then smeared and spotted as the bytes say. */
static void draw(const struct grey *grey, uint8_t kind, const uint8_t *data, size_t length)
{
    static uint8_t modules[SYMBOL_MODULES], codewords[SYMBOL_CODEWORDS];
    const struct symbol_size *size = symbol_size_at(kind % 8);
    for (int i = 0; i < size->data; i++)
        codewords[i] = data[(size_t)i % length];
    reed_solomon_extend(size, codewords);
    module_matrix_write(size, codewords, modules);
    const int side = grey->width < grey->height ? grey->width : grey->height;
    const int scale = side / (size->rows + 4) > 3 ? side / (size->rows + 4) : 3;
    for (int y = 0; y < grey->height; y++)
        for (int x = 0; x < grey->width; x++) {
            const int row = y / scale - 2, column = x / scale - 2;
            const bool dark = row >= 0 && column >= 0 && row < size->rows && column < size->columns &&
                              modules[row * size->columns + column];
            pixels[(size_t)y * grey->stride + (size_t)x] = dark ? 40 : 210;
        }
    for (size_t i = 0; i + 3 < length && i < 64; i += 4) { /* spots: place, size, grey */
        const int left = data[i] % grey->width, top = data[i + 1] % grey->height, wide = data[i + 2] % 16;
        for (int y = top; y < grey->height && y < top + wide; y++)
            for (int x = left; x < grey->width && x < left + wide; x++)
                pixels[(size_t)y * grey->stride + (size_t)x] = data[i + 3];
    }
}

static void check(const struct reader_result *result)
{
    if (result->count > READER_SYMBOLS)
        abort();
    for (size_t i = 0; i < result->count; i++) {
        const struct reader_symbol *symbol = &result->symbols[i];
        if (symbol->length == 0 || symbol->length > READER_BYTES || strlen(symbol->symbology) != 3)
            abort();
        for (int k = 0; k < 8; k++)
            if (!isfinite(symbol->corners[k / 2][k % 2]))
                abort();
    }
}

static void check_same(const struct reader_result *one, const struct reader_result *two)
{
    if (one->count != two->count || one->cut_short != two->cut_short)
        abort();
    for (size_t i = 0; i < one->count; i++) {
        const struct reader_symbol *a = &one->symbols[i], *b = &two->symbols[i];
        if (a->length != b->length || memcmp(a->bytes, b->bytes, a->length) != 0 || a->corrected != b->corrected)
            abort();
        for (int k = 0; k < 8; k++)
            if (a->corners[k / 2][k % 2] != b->corners[k / 2][k % 2])
                abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct reader *readers[2]; /* the portable one and one of the others, each with its own symbols */
    if (size < 4)
        return 0;
    enum mask_way ways[] = {MASK_PORTABLE, data[2] & 4 ? MASK_SSE2 : MASK_AVX2};
    struct reader_result results[2] = {0};
    const int width = data[0] % SIDES, height = data[1] % SIDES;
    const struct grey grey = {pixels, width, height, (size_t)width + data[2] % (GAP + 1)};
    if (width > 0 && height > 0 && data[2] & 0x80)
        draw(&grey, (uint8_t)(data[2] >> 3), data + 3, size - 3);
    else
        fill(&grey, data + 3, size - 3);
    for (int i = 0; i < 2; i++) {
        struct fault fault = {0};
        if (!readers[i] && !(readers[i] = reader_create()))
            abort();
        reader_set_way(readers[i], mask_way_runs(ways[i]) ? ways[i] : MASK_BEST);
        if (!reader_set_cartons(readers[i], data[0] & 128, &fault))
            abort();
        if (!reader_read(readers[i], &grey, &results[i], &fault)) {
            if (fault.code != FAULT_INPUT || fault.text[0] == '\0')
                abort();
            return 0;
        }
        check(&results[i]);
    }
    check_same(&results[0], &results[1]);
    return 0;
}
