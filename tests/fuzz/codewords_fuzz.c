#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/basics/text.h"
#include "labels/reading/decodation.h"

/* Any data codewords: bytes within bounds, or no read; their segments in order; their text UTF-8 or none. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_text(const struct reader_symbol *symbol)
{
    static char text[READER_TEXT + 1];
    size_t length = 0;
    for (size_t i = 0; i < symbol->segment_count && i < READER_SEGMENTS; i++)
        if (symbol->segments[i].start > symbol->length ||
            (i > 0 && symbol->segments[i].start <= symbol->segments[i - 1].start))
            abort();
    if (!reader_symbol_text(symbol, text, &length))
        return;
    if (length > READER_TEXT || text[length] != '\0' || !text_is_utf8((struct span){text, length}))
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct reader_symbol symbol = {0};
    if (size > READER_CODEWORDS || !decodation_read(data, size, &symbol))
        return 0;
    if (symbol.length == 0 || symbol.length > READER_BYTES || symbol.symbology[2] < '1' || symbol.symbology[2] > '6' ||
        symbol.eci < -1 || symbol.eci > 999999 || symbol.structured_index > symbol.structured_total)
        abort();
    check_text(&symbol);
    return 0;
}
