#ifndef LABELS_READING_REED_SOLOMON_H
#define LABELS_READING_REED_SOLOMON_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* Reed-Solomon error correction of ECC 200 (ISO/IEC 16022:2006, 5.7 and Annex E): GF(256) modulo 0x12D, generator
 * roots a^1 to a^k. Codewords are interleaved: word i, data or check, belongs to block i mod blocks. At 144x144 that
 * gives eight blocks of 156 + 62 words and two of 155 + 62.
 *
 * A wrong read is worse than none: after correction the syndromes are computed again and must be zero, and the words
 * corrected in a block are bounded so that random words pass with less than 1 in 10^8 a symbol. A block of n words
 * with k check words and at most t corrections accepts random words with
 *     sum over i = 0..t of C(n, i) 255^i / 256^k:
 *     10x10: t=1 1.9e-9 (t=2 would be 1.7e-6) · 12x12 and 8x18: t=2 6e-11 (t=3 5e-8) · 14x14: t=5 7.8e-9 ·
 *     16x16: t=6 4.8e-10 · 22x22: t=10 8.0e-15 · larger ones less.
 * So 10x10, 12x12 and 8x18 give up their last correction; all others use the full k / 2. */
int reed_solomon_bound(const struct symbol_size *size); /* corrections in one block */

/* Corrects data + check codewords in place. Returns how many words were changed, or -1 and the words untouched. */
int reed_solomon_correct(const struct symbol_size *size, uint8_t *codewords);

/* Fills the check words behind size->data data words. */
void reed_solomon_extend(const struct symbol_size *size, uint8_t *codewords);

#endif
