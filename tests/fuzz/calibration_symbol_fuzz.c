#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/content/calibration_symbol.h"

/* Any bytes that a symbol may hold: what is taken must be what would be written. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct calibration_symbol symbol;
    char text[CALIBRATION_SYMBOL_SIZE];
    const struct span span = {(const char *)data, size};
    if (!calibration_symbol_read(span, &symbol))
        return 0;
    calibration_symbol_write(&symbol, text);
    if (!span_equals(span, text))
        abort();
    return 0;
}
