#include "labels/reading/module_matrix.h"

#include <string.h>

#include "labels/reading/decodation.h"
#include "labels/reading/placement.h"
#include "labels/reading/reed_solomon.h"

enum { FEW_CHECK = 7 }; /* check words of the smallest symbols: 10x10, 12x12, 8x18 */
static const double FINDER_RIGHT = 0.75, FINDER_RIGHT_SMALL = 0.9; /* part of the finder's modules */

_Static_assert((int)READER_CODEWORDS == (int)SYMBOL_DATA, "a reported symbol holds the data of the largest");

int module_matrix_finder_right(const struct symbol_size *size, const uint8_t *modules, int *of)
{
    int right = 0, all = 0;
    for (int row = 0; row < size->rows; row++)
        for (int column = 0; column < size->columns; column++) {
            const int wanted = symbol_size_finder_at(size, row, column);
            if (wanted < 0)
                continue;
            all++;
            right += modules[row * size->columns + column] == wanted;
        }
    *of = all;
    return right;
}

static void read_words(const struct symbol_size *size, const uint8_t *modules, uint8_t *codewords)
{
    uint8_t mapping[SYMBOL_MAPPING];
    const int rows = symbol_size_mapping_rows(size), columns = symbol_size_mapping_columns(size);
    for (int row = 0; row < rows; row++)
        for (int column = 0; column < columns; column++)
            mapping[row * columns + column] =
                modules[symbol_size_symbol_row(size, row) * size->columns + symbol_size_symbol_column(size, column)];
    placement_read(size, mapping, codewords);
}

bool module_matrix_read(const struct symbol_size *size, const uint8_t *modules, const uint8_t *unsure, double *risk,
                        struct reader_symbol *symbol)
{
    uint8_t codewords[SYMBOL_CODEWORDS], erased[SYMBOL_CODEWORDS];
    read_words(size, modules, codewords);
    if (unsure) /* a codeword with any bit of it unsure */
        read_words(size, unsure, erased);
    const int corrected = reed_solomon_correct(size, unsure ? erased : NULL, risk, codewords);
    if (corrected < 0 || !decodation_read(codewords, (size_t)size->data, symbol))
        return false;
    symbol->rows = size->rows;
    symbol->columns = size->columns;
    symbol->corrected = corrected;
    symbol->codeword_count = (size_t)size->data;
    memcpy(symbol->codewords, codewords, (size_t)size->data);
    return true;
}

/* The smallest symbols have little redundancy: their finder must be nearly whole. */
double module_matrix_finder_wanted(const struct symbol_size *size)
{
    return size->check <= FEW_CHECK ? FINDER_RIGHT_SMALL : FINDER_RIGHT;
}

bool module_matrix_accept(const struct symbol_size *size, const uint8_t *modules, const uint8_t *unsure, double *risk,
                          double *finder, struct reader_symbol *symbol)
{
    int of = 0;
    const int right = module_matrix_finder_right(size, modules, &of);
    *finder = (double)right / of;
    if (right < module_matrix_finder_wanted(size) * of)
        return false;
    return module_matrix_read(size, modules, NULL, risk, symbol) ||
           (unsure && module_matrix_read(size, modules, unsure, risk, symbol));
}

void module_matrix_write(const struct symbol_size *size, const uint8_t *codewords, uint8_t *modules)
{
    uint8_t mapping[SYMBOL_MAPPING];
    const int rows = symbol_size_mapping_rows(size), columns = symbol_size_mapping_columns(size);
    placement_write(size, codewords, mapping);
    for (int row = 0; row < size->rows; row++)
        for (int column = 0; column < size->columns; column++)
            modules[row * size->columns + column] = symbol_size_finder_at(size, row, column) == 1;
    for (int row = 0; row < rows; row++)
        for (int column = 0; column < columns; column++)
            modules[symbol_size_symbol_row(size, row) * size->columns + symbol_size_symbol_column(size, column)] =
                mapping[row * columns + column];
}
