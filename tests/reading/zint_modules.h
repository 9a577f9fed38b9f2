#ifndef TESTS_READING_ZINT_MODULES_H
#define TESTS_READING_ZINT_MODULES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* Symbols written by libzint, an encoder that is not ours, as the modules that labels/reading/module_matrix.h reads. */

struct zint_wish {
    const char *text;
    size_t length; /* 0: up to the NUL */
    int mode;      /* zint's input_mode */
    int options;   /* zint's output_options */
    int size;      /* zint's option_2: 1 to 24 squares, 25 to 30 rectangles, 31 to 48 DMRE; 0 automatic */
    int eci;
    int structured_index, structured_total;
    const char *structured_id; /* NULL: none */
};

struct zint_modules {
    const struct symbol_size *size;
    uint8_t modules[SYMBOL_MODULES]; /* 1 dark, row by row */
};

/* False when zint refuses (too long for the size, a character that the mode has not). */
bool zint_modules_make(const struct zint_wish *wish, struct zint_modules *made);

#endif
