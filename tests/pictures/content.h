#ifndef TESTS_PICTURES_CONTENT_H
#define TESTS_PICTURES_CONTENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tests/reading/zint_modules.h"

/* What a symbol of a wanted size says: serial, lot, dates and free words in the format 06 envelope of ISO/IEC 15434, as
 * much of it as fits; digits where not even a serial fits. The symbol is libzint's. */

enum { CONTENT_BYTES = 2400, CONTENT_LINE = 16 };

struct content {
    uint8_t bytes[CONTENT_BYTES];
    size_t length;
    char line[4][CONTENT_LINE]; /* what the label says beside it */
    struct zint_modules symbol;
};

/* `size`: 1 to 48, zint's number of the size (zint_modules.h). False when zint refuses, which it does not. */
bool content_make(struct content *content, int size, uint64_t *random);

#endif
