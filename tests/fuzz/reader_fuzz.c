#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/reading/reader.h"

/* Two bytes of size, then pixels, repeated when there are too few: any grey picture must come to an end, and what is
 * reported must be whole. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    enum { SIDES = 97 }; /* small pictures: the search is the same, and a run stays quick */
    static uint8_t pixels[SIDES * SIDES];
    static struct reader *reader;
    if (size < 3 || (!reader && !(reader = reader_create())))
        return 0;
    const struct grey grey = {pixels, data[0] % SIDES, data[1] % SIDES, data[0] % SIDES};
    for (size_t i = 0; i < (size_t)grey.width * (size_t)grey.height; i++)
        pixels[i] = data[2 + i % (size - 2)];
    struct reader_result result = {0};
    struct fault fault = {0};
    if (!reader_read(reader, &grey, &result, &fault)) {
        if (fault.code != FAULT_INPUT)
            abort();
        return 0;
    }
    if (result.count > READER_SYMBOLS)
        abort();
    for (size_t i = 0; i < result.count; i++) {
        const struct reader_symbol *symbol = &result.symbols[i];
        if (symbol->length == 0 || symbol->length > READER_BYTES || strlen(symbol->symbology) != 3)
            abort();
        for (int k = 0; k < 8; k++)
            if (!isfinite(symbol->corners[k / 2][k % 2]))
                abort();
    }
    return 0;
}
