#include "labels/reading/placement.h"

#include <string.h>

enum { UNSET = 0xFFFF };

struct sweep {
    uint16_t *order;
    int rows, columns, codewords;
};

/* Places one bit; a place beyond an edge comes in again at the opposite one, shifted (Annex F, "module"). */
static void place(struct sweep *sweep, int row, int column, int codeword, int bit)
{
    if (row < 0) {
        row += sweep->rows;
        column += 4 - (sweep->rows + 4) % 8;
    }
    if (column < 0) {
        column += sweep->columns;
        row += 4 - (sweep->columns + 4) % 8;
    }
    if (row >= sweep->rows) /* only in some DMRE sizes */
        row -= sweep->rows;
    if (codeword < sweep->codewords)
        sweep->order[row * sweep->columns + column] = (uint16_t)(8 * codeword + bit);
}

/* The eight modules of a codeword, bit 0 first, as offsets from its last module. */
static void place_utah(struct sweep *sweep, int row, int column, int codeword)
{
    static const int offsets[8][2] = {{-2, -2}, {-2, -1}, {-1, -2}, {-1, -1}, {-1, 0}, {0, -2}, {0, -1}, {0, 0}};
    for (int bit = 0; bit < 8; bit++)
        place(sweep, row + offsets[bit][0], column + offsets[bit][1], codeword, bit);
}

/* The four corner shapes. A negative place counts back from the number of rows or columns. */
static void place_corner(struct sweep *sweep, int corner, int codeword)
{
    static const int shapes[4][8][2] = {
        {{-1, 0}, {-1, 1}, {-1, 2}, {0, -2}, {0, -1}, {1, -1}, {2, -1}, {3, -1}},
        {{-3, 0}, {-2, 0}, {-1, 0}, {0, -4}, {0, -3}, {0, -2}, {0, -1}, {1, -1}},
        {{-3, 0}, {-2, 0}, {-1, 0}, {0, -2}, {0, -1}, {1, -1}, {2, -1}, {3, -1}},
        {{-1, 0}, {-1, -1}, {0, -3}, {0, -2}, {0, -1}, {1, -3}, {1, -2}, {1, -1}},
    };
    for (int bit = 0; bit < 8; bit++) {
        const int row = shapes[corner][bit][0], column = shapes[corner][bit][1];
        place(sweep, row < 0 ? row + sweep->rows : row, column < 0 ? column + sweep->columns : column, codeword, bit);
    }
}

/* The corner shape due at this point of the sweep, -1 for none. */
static int corner_due(const struct sweep *sweep, int row, int column)
{
    const int rows = sweep->rows, columns = sweep->columns;
    if (column == 0 && row == rows)
        return 0;
    if (column == 0 && row == rows - 2 && columns % 4 != 0)
        return 1;
    if (column == 0 && row == rows - 2 && columns % 8 == 4)
        return 2;
    if (column == 2 && row == rows + 4 && columns % 8 == 0)
        return 3;
    return -1;
}

void placement_order(const struct symbol_size *size, uint16_t order[SYMBOL_MAPPING])
{
    struct sweep sweep = {order, symbol_size_mapping_rows(size), symbol_size_mapping_columns(size),
                          size->data + size->check};
    const int rows = sweep.rows, columns = sweep.columns;
    memset(order, 0xFF, SYMBOL_MAPPING * sizeof *order); /* all UNSET */
    int codeword = 0, row = 4, column = 0;
    do {
        const int corner = corner_due(&sweep, row, column);
        if (corner >= 0)
            place_corner(&sweep, corner, codeword++);
        do { /* upward, to the right */
            if (row < rows && column >= 0 && order[row * columns + column] == UNSET)
                place_utah(&sweep, row, column, codeword++);
            row -= 2;
            column += 2;
        } while (row >= 0 && column < columns);
        row += 1;
        column += 3;
        do { /* downward, to the left */
            if (row >= 0 && column < columns && order[row * columns + column] == UNSET)
                place_utah(&sweep, row, column, codeword++);
            row += 2;
            column -= 2;
        } while (row < rows && column >= 0);
        row += 3;
        column += 1;
    } while (row < rows || column < columns);
    for (int i = 0; i < rows * columns; i++) /* the fixed corner: dark on its diagonal */
        if (order[i] == UNSET)
            order[i] =
                i / columns - (rows - 2) == i % columns - (columns - 2) ? PLACEMENT_FIXED_DARK : PLACEMENT_FIXED_LIGHT;
}

void placement_read(const struct symbol_size *size, const uint8_t *mapping, uint8_t *codewords)
{
    uint16_t order[SYMBOL_MAPPING];
    placement_order(size, order);
    memset(codewords, 0, (size_t)size->data + (size_t)size->check);
    const int count = symbol_size_mapping_rows(size) * symbol_size_mapping_columns(size);
    for (int i = 0; i < count; i++)
        if (order[i] < PLACEMENT_FIXED_DARK && mapping[i])
            codewords[order[i] / 8] |= (uint8_t)(0x80 >> order[i] % 8);
}

void placement_write(const struct symbol_size *size, const uint8_t *codewords, uint8_t *mapping)
{
    uint16_t order[SYMBOL_MAPPING];
    placement_order(size, order);
    const int count = symbol_size_mapping_rows(size) * symbol_size_mapping_columns(size);
    for (int i = 0; i < count; i++)
        mapping[i] = order[i] < PLACEMENT_FIXED_DARK ? codewords[order[i] / 8] >> (7 - order[i] % 8) & 1
                                                     : order[i] == PLACEMENT_FIXED_DARK;
}
