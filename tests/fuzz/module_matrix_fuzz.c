#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/reading/module_matrix.h"
#include "labels/reading/placement.h"
#include "labels/reading/reed_solomon.h"

/* First byte: the size, and whether the rest are codewords with right check words (so that the far side of error
 * correction is reached) or bare modules. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static uint8_t modules[SYMBOL_MODULES], codewords[SYMBOL_CODEWORDS];
    static struct reader_symbol symbol;
    if (size < 2)
        return 0;
    const struct symbol_size *kind = symbol_size_at(data[0] / 2 % SYMBOL_SIZES);
    const size_t count = (size_t)kind->rows * (size_t)kind->columns;
    if (data[0] % 2) {
        for (size_t i = 0; i < (size_t)kind->data; i++)
            codewords[i] = data[1 + i % (size - 1)];
        reed_solomon_extend(kind, codewords);
        module_matrix_write(kind, codewords, modules);
        modules[data[1] % count] ^= 1;
    } else {
        for (size_t i = 0; i < count; i++)
            modules[i] = data[1 + i / 8 % (size - 1)] >> (i % 8) & 1;
    }
    if (module_matrix_read(kind, modules, NULL, NULL, &symbol) &&
        (symbol.length > READER_BYTES || symbol.rows != kind->rows || symbol.corrected > kind->check / 2 ||
         (data[0] % 2 && memcmp(symbol.codewords, codewords, (size_t)kind->data) != 0)))
        abort();
    return 0;
}
