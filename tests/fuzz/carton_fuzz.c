#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/reading/carton.h"

/* Two bytes of size, then pixels, repeated when there are too few: whatever libzbar makes of any grey picture, what is
 * reported must be whole. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    enum { LEAST = 8, SIDES = 120, GAP = 3, ROOM = 4 };
    static uint8_t pixels[SIDES * (SIDES + GAP)];
    static struct reader_symbol symbols[ROOM];
    static struct carton_scanner *scanner;
    if (size < 3 || (!scanner && !(scanner = carton_scanner_create())))
        return 0;
    const int width = LEAST + data[0] % (SIDES - LEAST), height = LEAST + data[1] % (SIDES - LEAST);
    const struct grey grey = {pixels, width, height, (size_t)width + size % 2 * GAP}; /* half of them with a stride */
    size_t next = 0;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            pixels[(size_t)y * grey.stride + (size_t)x] = data[2 + next++ % (size - 2)];
    size_t count = 0;
    bool cut_short = false;
    if (!carton_read(scanner, &grey, symbols, ROOM, &count, &cut_short, NULL))
        return 0;
    if (count > ROOM || (cut_short && count < ROOM))
        abort();
    for (size_t i = 0; i < count; i++) {
        if (symbols[i].length == 0 || symbols[i].length > READER_BYTES || !carton_is_symbology(symbols[i].symbology) ||
            symbols[i].corrected != -1)
            abort();
        for (int k = 0; k < 8; k++)
            if (!isfinite(symbols[i].corners[k / 2][k % 2]))
                abort();
    }
    return 0;
}
