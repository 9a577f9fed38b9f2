#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/reading/module_matrix.h"
#include "labels/reading/placement.h"
#include "labels/reading/reader.h"
#include "labels/reading/reed_solomon.h"

/* First byte: the size, and whether the rest are codewords with right check words (so that the far side of error
 * correction is reached) or bare modules. Second byte, of a symbol made so: how many modules are wrong and how many
 * unsure, the bytes behind say where. Whatever comes: reads are whole, the risk run is counted, and a clean symbol with
 * one wrong module gives its words. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static uint8_t modules[SYMBOL_MODULES], unsure[SYMBOL_MODULES], codewords[SYMBOL_CODEWORDS];
static struct reader_symbol symbol;

static void check(bool read, const struct symbol_size *size, double risk)
{
    if (risk < 0 || risk > READER_RISK)
        abort();
    if (read && (symbol.length == 0 || symbol.length > READER_BYTES || symbol.rows != size->rows ||
                 symbol.columns != size->columns || symbol.codeword_count != (size_t)size->data ||
                 symbol.corrected > size->check)) /* with erasures up to all but two a block */
        abort();
}

static void make_symbol(const struct symbol_size *size, const uint8_t *data, size_t length)
{
    const size_t count = (size_t)size->rows * (size_t)size->columns;
    for (size_t i = 0; i < (size_t)size->data; i++)
        codewords[i] = data[i % length];
    reed_solomon_extend(size, codewords);
    module_matrix_write(size, codewords, modules);
    modules[data[0] % count] ^= 1;
    if (module_matrix_read(size, modules, NULL, NULL, &symbol) &&
        memcmp(symbol.codewords, codewords, (size_t)size->data) != 0)
        abort(); /* one module is within every size's means */
    const int wrong = data[0] % 8, blind = data[0] / 8;
    for (size_t i = 0; i < (size_t)wrong + (size_t)blind; i++) {
        const size_t at = (size_t)(data[(2 * i + 1) % length] << 8 | data[(2 * i + 2) % length]) % count;
        modules[at] ^= 1;
        unsure[at] = i >= (size_t)wrong;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2)
        return 0;
    const struct symbol_size *kind = symbol_size_at(data[0] / 2 % SYMBOL_SIZES);
    const size_t count = (size_t)kind->rows * (size_t)kind->columns;
    memset(unsure, 0, count);
    if (data[0] % 2)
        make_symbol(kind, data + 1, size - 1);
    else
        for (size_t i = 0; i < count; i++) {
            modules[i] = data[1 + i / 8 % (size - 1)] >> (i % 8) & 1;
            unsure[i] = data[1 + (i + 3) / 5 % (size - 1)] == 0;
        }
    double finder = 0, risk = READER_RISK;
    check(module_matrix_read(kind, modules, NULL, NULL, &symbol), kind, risk);
    check(module_matrix_read(kind, modules, unsure, &risk, &symbol), kind, risk);
    const bool taken = module_matrix_accept(kind, modules, unsure, &risk, &finder, &symbol);
    check(taken, kind, risk);
    if (finder < 0 || finder > 1 || (taken && finder < 0.75))
        abort();
    return 0;
}
