#include "labels/reading/symbol_size.h"

#include <assert.h>

/* Every line was checked: mapping rows * mapping columns / 8 = data + check (the rest is the fixed corner). */
static const struct symbol_size sizes[] = {
    /* rows, columns, region rows, region columns, data, check, blocks */
    /* ISO/IEC 16022:2006 Table 7, squares */
    {10, 10, 8, 8, 3, 5, 1},
    {12, 12, 10, 10, 5, 7, 1},
    {14, 14, 12, 12, 8, 10, 1},
    {16, 16, 14, 14, 12, 12, 1},
    {18, 18, 16, 16, 18, 14, 1},
    {20, 20, 18, 18, 22, 18, 1},
    {22, 22, 20, 20, 30, 20, 1},
    {24, 24, 22, 22, 36, 24, 1},
    {26, 26, 24, 24, 44, 28, 1},
    {32, 32, 14, 14, 62, 36, 1},
    {36, 36, 16, 16, 86, 42, 1},
    {40, 40, 18, 18, 114, 48, 1},
    {44, 44, 20, 20, 144, 56, 1},
    {48, 48, 22, 22, 174, 68, 1},
    {52, 52, 24, 24, 204, 84, 2},
    {64, 64, 14, 14, 280, 112, 2},
    {72, 72, 16, 16, 368, 144, 4},
    {80, 80, 18, 18, 456, 192, 4},
    {88, 88, 20, 20, 576, 224, 4},
    {96, 96, 22, 22, 696, 272, 4},
    {104, 104, 24, 24, 816, 336, 6},
    {120, 120, 18, 18, 1050, 408, 6},
    {132, 132, 20, 20, 1304, 496, 8},
    {144, 144, 22, 22, 1558, 620, 10},
    /* ISO/IEC 16022:2006 Table 7, rectangles */
    {8, 18, 6, 16, 5, 7, 1},
    {8, 32, 6, 14, 10, 11, 1},
    {12, 26, 10, 24, 16, 14, 1},
    {12, 36, 10, 16, 22, 18, 1},
    {16, 36, 14, 16, 32, 24, 1},
    {16, 48, 14, 22, 49, 28, 1},
    /* ISO/IEC 21471:2020, rectangular extension */
    {8, 48, 6, 22, 18, 15, 1},
    {8, 64, 6, 14, 24, 18, 1},
    {8, 80, 6, 18, 32, 22, 1},
    {8, 96, 6, 22, 38, 28, 1},
    {8, 120, 6, 18, 49, 32, 1},
    {8, 144, 6, 22, 63, 36, 1},
    {12, 64, 10, 14, 43, 27, 1},
    {12, 88, 10, 20, 64, 36, 1},
    {16, 64, 14, 14, 62, 36, 1},
    {20, 36, 18, 16, 44, 28, 1},
    {20, 44, 18, 20, 56, 34, 1},
    {20, 64, 18, 14, 84, 42, 1},
    {22, 48, 20, 22, 72, 38, 1},
    {24, 48, 22, 22, 80, 41, 1},
    {24, 64, 22, 14, 108, 46, 1},
    {26, 40, 24, 18, 70, 38, 1},
    {26, 48, 24, 22, 90, 42, 1},
    {26, 64, 24, 14, 118, 50, 1},
};
_Static_assert(sizeof sizes / sizeof *sizes == SYMBOL_SIZES, "24 squares, 6 rectangles, 18 DMRE");

const struct symbol_size *symbol_size_at(size_t index)
{
    assert(index < SYMBOL_SIZES);
    return &sizes[index];
}

const struct symbol_size *symbol_size_find(int rows, int columns)
{
    for (size_t i = 0; i < SYMBOL_SIZES; i++)
        if (sizes[i].rows == rows && sizes[i].columns == columns)
            return &sizes[i];
    return NULL;
}

int symbol_size_mapping_rows(const struct symbol_size *size)
{
    return size->rows / (size->region_rows + 2) * size->region_rows;
}

int symbol_size_mapping_columns(const struct symbol_size *size)
{
    return size->columns / (size->region_columns + 2) * size->region_columns;
}

int symbol_size_symbol_row(const struct symbol_size *size, int mapping_row)
{
    return 1 + mapping_row + 2 * (mapping_row / size->region_rows);
}

int symbol_size_symbol_column(const struct symbol_size *size, int mapping_column)
{
    return 1 + mapping_column + 2 * (mapping_column / size->region_columns);
}

int symbol_size_finder_at(const struct symbol_size *size, int row, int column)
{
    const int r = row % (size->region_rows + 2), c = column % (size->region_columns + 2);
    if (c == 0 || r == size->region_rows + 1)
        return 1; /* the L, before the clock tracks: it owns the corners they share */
    if (r == 0)
        return c % 2 == 0;
    if (c == size->region_columns + 1)
        return r % 2 == 1;
    return -1;
}
