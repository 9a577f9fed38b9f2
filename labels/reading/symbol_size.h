#ifndef LABELS_READING_SYMBOL_SIZE_H
#define LABELS_READING_SYMBOL_SIZE_H

#include <stddef.h>

/* The sizes of Data Matrix ECC 200: the 24 squares and 6 rectangles of ISO/IEC 16022:2006 Table 7 and the 18 more
 * rectangles (DMRE) of ISO/IEC 21471:2020. A symbol is made of data regions, each with its own finder: a solid left
 * and bottom edge, a clock track on top and right, one module each. */
struct symbol_size {
    int rows, columns;               /* modules of the whole symbol, finders included */
    int region_rows, region_columns; /* data modules of one region, its finder not included */
    int data, check;                 /* codewords */
    int blocks;                      /* Reed-Solomon blocks; codeword i belongs to block i mod blocks */
};

enum {
    SYMBOL_SIZES = 48,
    SYMBOL_SIDE = 144,             /* longest side, modules */
    SYMBOL_MODULES = 144 * 144,    /* most modules of a symbol */
    SYMBOL_MAPPING = 132 * 132,    /* most data modules of a symbol */
    SYMBOL_CODEWORDS = 1558 + 620, /* most codewords, data and check */
    SYMBOL_DATA = 1558,            /* most data codewords */
};

/* Sorted as in the standards: squares by size, then rectangles, then DMRE. Never NULL for index < SYMBOL_SIZES. */
const struct symbol_size *symbol_size_at(size_t index);
/* NULL when there is no such size. */
const struct symbol_size *symbol_size_find(int rows, int columns);

/* The mapping matrix: the data regions joined, finders left out. */
int symbol_size_mapping_rows(const struct symbol_size *size);
int symbol_size_mapping_columns(const struct symbol_size *size);
/* The row of the symbol on which a row of the mapping matrix lies; the same for columns. */
int symbol_size_symbol_row(const struct symbol_size *size, int mapping_row);
int symbol_size_symbol_column(const struct symbol_size *size, int mapping_column);

/* What the finder pattern wants at a module: 1 dark, 0 light, -1 for a data module. Row 0 is on top. */
int symbol_size_finder_at(const struct symbol_size *size, int row, int column);

#endif
