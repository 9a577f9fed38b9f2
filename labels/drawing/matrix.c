#include "labels/drawing/matrix.h"

#include <assert.h>
#include <string.h>

#include <zint.h>

static void copy_modules(const struct zint_symbol *symbol, struct matrix *matrix)
{
    memset(matrix, 0, sizeof *matrix);
    matrix->rows = symbol->rows;
    matrix->columns = symbol->width;
    for (int row = 0; row < matrix->rows; row++)
        for (int column = 0; column < matrix->columns; column++)
            if (symbol->encoded_data[row][column / 8] >> (column % 8) & 1) /* zint: least significant bit left */
                matrix->bits[row * MATRIX_STRIDE + column / 8] |= (uint8_t)(0x80 >> (column % 8));
}

/* zint's warnings are taken as they come, but for GS1: a label that breaks the GS1 rules is no GS1 label. */
static bool refused(int code, bool gs1)
{
    return code >= ZINT_ERROR || (gs1 && code == ZINT_WARN_NONCOMPLIANT);
}

bool matrix_encode(struct span content, bool gs1, struct matrix *matrix, struct fault *fault)
{
    if (content.length == 0)
        return fault_set(fault, FAULT_INPUT, "the symbol has no content: give at least one character");
    if (content.length > MATRIX_BYTES)
        return fault_set(fault, FAULT_INPUT, "the symbol's content has %zu bytes and no Data Matrix holds over %d",
                         content.length, MATRIX_BYTES);
    struct zint_symbol *symbol = ZBarcode_Create();
    if (!symbol)
        return fault_set(fault, FAULT_STORAGE, "no memory to encode a symbol");
    symbol->symbology = BARCODE_DATAMATRIX;
    symbol->option_3 = DM_SQUARE;
    symbol->input_mode = gs1 ? GS1_MODE : DATA_MODE;

    /* zint takes a plain pointer but only reads; the length keeps NUL bytes in. */
    unsigned char bytes[MATRIX_BYTES];
    memcpy(bytes, content.at, content.length);
    const int code = ZBarcode_Encode(symbol, bytes, (int)content.length);
    const bool good = !refused(code, gs1) && symbol->rows <= MATRIX_SIDE && symbol->width <= MATRIX_SIDE;
    if (good)
        copy_modules(symbol, matrix);
    else
        fault_set(fault, code == ZINT_ERROR_MEMORY ? FAULT_STORAGE : FAULT_INPUT,
                  "the symbol's content cannot be encoded (%s): shorten or correct it", symbol->errtxt);
    ZBarcode_Delete(symbol);
    return good;
}

bool matrix_get(const struct matrix *matrix, int row, int column)
{
    assert(row >= 0 && row < matrix->rows && column >= 0 && column < matrix->columns);
    return (matrix->bits[row * MATRIX_STRIDE + column / 8] >> (7 - column % 8)) & 1;
}
