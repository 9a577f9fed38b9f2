#ifndef LABELS_QUALITY_MODULE_VALUES_H
#define LABELS_QUALITY_MODULE_VALUES_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* The modules of a symbol and one module of quiet zone all around: how light each is seen, and which it should be.
 * Row 0 is the clock track on top, column 0 the L's left leg; row or column -1 and `rows`, `columns` are quiet zone. */

enum { MODULE_VALUES = (SYMBOL_SIDE + 2) * (SYMBOL_SIDE + 2) };

struct module_values {
    const struct symbol_size *size;
    float value[MODULE_VALUES];  /* 0 to 255, ink low: a light symbol on dark ground comes turned over */
    uint8_t dark[MODULE_VALUES]; /* 1: ink is wanted */
};

/* The contrast that a symbol has in its own picture: lightest and darkest module, quiet zone included, and half-way
 * between them the threshold that ISO/IEC 15415 calls global. */
struct module_contrast {
    double dark, light, threshold;
};

static inline int module_values_place(const struct symbol_size *size, int row, int column)
{
    return (row + 1) * (size->columns + 2) + column + 1;
}

/* Sets `size` and `dark` from the corrected data codewords. `value` is left alone. */
void module_values_want(const struct symbol_size *size, const uint8_t *data, struct module_values *values);

struct module_contrast module_values_contrast(const struct module_values *values);

/* The colour a module shows, and the two numbers of ISO/IEC 15415 about it: modulation says how far it is from the
 * threshold, 0 to 1, and the margin is the same but 0 for a module on the wrong side. Both are 0 without contrast. */
bool module_values_seen_dark(const struct module_values *values, const struct module_contrast *contrast, int place);
double module_values_modulation(const struct module_values *values, const struct module_contrast *contrast, int place);
double module_values_margin(const struct module_values *values, const struct module_contrast *contrast, int place);

#endif
