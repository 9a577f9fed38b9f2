#ifndef LABELS_READING_PLACEMENT_H
#define LABELS_READING_PLACEMENT_H

#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* Where the bits of the codewords lie in the mapping matrix (ISO/IEC 16022:2006, Annex F): diagonal sweeps of
 * L-shaped "utahs" with four special corner shapes; modules left over in the lower right corner are fixed. */

enum { PLACEMENT_FIXED_DARK = 0xFFFD, PLACEMENT_FIXED_LIGHT = 0xFFFE };

/* order[row * mapping columns + column] = 8 * codeword + bit, bit 0 the most significant; or one of the above. */
void placement_order(const struct symbol_size *size, uint16_t order[SYMBOL_MAPPING]);

/* Mapping matrix (a byte a module, not 0 = dark) to data + check codewords. */
void placement_read(const struct symbol_size *size, const uint8_t *mapping, uint8_t *codewords);
/* The other way; modules become 0 or 1. */
void placement_write(const struct symbol_size *size, const uint8_t *codewords, uint8_t *mapping);

#endif
