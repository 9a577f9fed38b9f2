#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/quality/advice.h"
#include "labels/quality/quality.h"
#include "labels/reading/symbol_size.h"

/* A symbol anywhere on a small picture of any greys: two bytes for its size and kind, sixteen for corners, which may
 * lie far outside or nearly in a line, eight data codewords, the rest pixels. Whatever comes: a sentence or numbers
 * within their ranges. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { WIDTH = 48, HEIGHT = 40, HEAD = 2 + 16, WORDS = 8 };

static void check(const struct quality *quality)
{
    char text[ADVICE_SIZE];
    for (int i = 0; i < QUALITY_PARAMETERS; i++)
        if (quality->level[i] < QUALITY_UNKNOWN || quality->level[i] > 4)
            abort();
    if (!(quality->contrast >= 0 && quality->contrast <= 1) || !(quality->pixels_a_module > 0) ||
        !(quality->axial >= 0 && quality->axial <= 2) ||
        !(quality->unused.unused >= 0 && quality->unused.unused <= 1) || quality->modulation.least < 0 ||
        quality->margin.least > quality->modulation.least || quality->fixed.worst >= quality->fixed.count ||
        isinf(quality->grid) || isinf(quality->growth[0]) || isinf(quality->growth[1]))
        abort();
    advice_write(quality, text, sizeof text);
    if (strlen(text) == 0 || text[strlen(text) - 1] != '.')
        abort(); /* cut */
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static uint8_t pixels[WIDTH * HEIGHT];
    static struct reader_symbol symbol;
    static struct quality quality;
    struct fault fault = {0};
    if (size < HEAD + WORDS + 1)
        return 0;
    const struct symbol_size *kind = symbol_size_at(data[0] % SYMBOL_SIZES);
    symbol.rows = kind->rows;
    symbol.columns = kind->columns;
    symbol.mirrored = data[1] & 1;
    symbol.inverted = data[1] & 2;
    for (int i = 0; i < 8; i++) /* sixteenths of a pixel, or whole ones */
        symbol.corners[i / 2][i % 2] = (int16_t)(data[2 + 2 * i] << 8 | data[3 + 2 * i]) / (data[1] & 4 ? 1.0 : 16.0);
    for (size_t i = 0; i < (size_t)kind->data; i++)
        symbol.codewords[i] = data[HEAD + i % WORDS];
    for (size_t i = 0; i < sizeof pixels; i++)
        pixels[i] = data[HEAD + WORDS + i % (size - HEAD - WORDS)];
    const struct grey grey = {pixels, WIDTH, HEIGHT, WIDTH};
    if (quality_measure(&grey, &symbol, &quality, &fault))
        check(&quality);
    else if (fault.text[0] == '\0')
        abort();
    return 0;
}
