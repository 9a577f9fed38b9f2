#include "tests/quality/modules.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/reading/placement.h"

static const float DARK = 20, LIGHT = 220; /* what modules_turn gives */

void modules_make(const char *text, int zint_size, float dark, float light, struct module_values *values)
{
    struct zint_modules made;
    if (!zint_modules_make(&(struct zint_wish){.text = text, .size = zint_size}, &made))
        fail_msg("zint refuses '%s' at size %d", text, zint_size);
    memset(values, 0, sizeof *values);
    values->size = made.size;
    for (int i = 0; i < MODULE_VALUES; i++)
        values->value[i] = light;
    for (int row = 0; row < made.size->rows; row++)
        for (int column = 0; column < made.size->columns; column++) {
            const int place = module_values_place(made.size, row, column);
            values->dark[place] = made.modules[row * made.size->columns + column];
            values->value[place] = values->dark[place] ? dark : light;
        }
}

void modules_set(struct module_values *values, int row, int column, float value)
{
    values->value[module_values_place(values->size, row, column)] = value;
}

void modules_turn(struct module_values *values, int row, int column)
{
    const int place = module_values_place(values->size, row, column);
    values->value[place] = values->dark[place] ? LIGHT : DARK;
}

void modules_of_codeword(const struct symbol_size *size, int codeword, int *row, int *column)
{
    uint8_t codewords[SYMBOL_CODEWORDS] = {0}, none[SYMBOL_MAPPING], mapping[SYMBOL_MAPPING];
    placement_write(size, codewords, none);
    codewords[codeword] = 0xFF;
    placement_write(size, codewords, mapping);
    const int columns = symbol_size_mapping_columns(size), count = symbol_size_mapping_rows(size) * columns;
    for (int i = 0; i < count; i++)
        if (mapping[i] != none[i]) {
            *row = symbol_size_symbol_row(size, i / columns);
            *column = symbol_size_symbol_column(size, i % columns);
            return;
        }
    fail_msg("codeword %d has no module", codeword);
}
