#ifndef TESTS_QUALITY_MODULES_H
#define TESTS_QUALITY_MODULES_H

#include "labels/quality/module_values.h"
#include "tests/reading/zint_modules.h"

/* A symbol by libzint as module values without any picture: ink `dark`, paper and quiet zone `light`. What is wanted
 * comes from zint's modules too. Fails the test when zint refuses. */
void modules_make(const char *text, int zint_size, float dark, float light, struct module_values *values);

/* Gives a module, -1 for the quiet zone, another grey; or the other colour at full contrast. */
void modules_set(struct module_values *values, int row, int column, float value);
void modules_turn(struct module_values *values, int row, int column);

/* The place in the symbol of the first module of a codeword that stands there, found by placement_write. */
void modules_of_codeword(const struct symbol_size *size, int codeword, int *row, int *column);

#endif
