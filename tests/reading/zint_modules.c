#include "tests/reading/zint_modules.h"

#include <stdio.h>
#include <string.h>

#include <zint.h>

bool zint_modules_make(const struct zint_wish *wish, struct zint_modules *made)
{
    struct zint_symbol *symbol = ZBarcode_Create();
    if (!symbol)
        return false;
    symbol->symbology = BARCODE_DATAMATRIX;
    symbol->input_mode = wish->mode;
    symbol->output_options |= wish->options;
    symbol->option_2 = wish->size;
    symbol->eci = wish->eci;
    symbol->structapp.index = wish->structured_index;
    symbol->structapp.count = wish->structured_total;
    if (wish->structured_id)
        (void)snprintf(symbol->structapp.id, sizeof symbol->structapp.id, "%s", wish->structured_id);
    const size_t length = wish->length ? wish->length : strlen(wish->text);
    bool good = ZBarcode_Encode(symbol, (const unsigned char *)wish->text, (int)length) < ZINT_ERROR;
    made->size = good ? symbol_size_find(symbol->rows, symbol->width) : NULL;
    good = made->size != NULL;
    for (int row = 0; good && row < symbol->rows; row++)
        for (int column = 0; column < symbol->width; column++)
            made->modules[row * symbol->width + column] = symbol->encoded_data[row][column / 8] >> (column % 8) & 1;
    ZBarcode_Delete(symbol);
    return good;
}
