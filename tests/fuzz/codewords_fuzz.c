#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/reading/decodation.h"

/* Any data codewords: bytes within bounds, or no read. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct reader_symbol symbol = {0};
    if (size > READER_CODEWORDS || !decodation_read(data, size, &symbol))
        return 0;
    if (symbol.length == 0 || symbol.length > READER_BYTES || symbol.symbology[2] < '1' || symbol.symbology[2] > '6' ||
        symbol.eci < -1 || symbol.eci > 999999 || symbol.structured_index > symbol.structured_total)
        abort();
    return 0;
}
