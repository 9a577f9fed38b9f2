#ifndef LABELS_READING_REED_SOLOMON_H
#define LABELS_READING_REED_SOLOMON_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* Reed-Solomon error correction of ECC 200 (ISO/IEC 16022:2006, 5.7 and Annex E): GF(256) modulo 0x12D, generator
 * roots a^1 to a^k. Codewords are interleaved: word i, data or check, belongs to block i mod blocks. At 144x144 that
 * gives eight blocks of 156 + 62 words and two of 155 + 62.
 *
 * A wrong read is worse than none: after correction the syndromes are computed again and must be zero, and it is
 * counted how likely random words would have been taken for a symbol. A block of n words with k check words, of which s
 * are known to be unknown (erasures), when at most e others may be wrong, accepts random words with
 *     sum over i = 0..e of C(n - s, i) 255^i / 256^(k - s).
 *     s = 0: 10x10: e=1 1.9e-9 (e=2 would be 1.7e-6) · 12x12 and 8x18: e=2 6e-11 (e=3 5e-8) · 14x14: e=5 7.8e-9 ·
 *     16x16: e=6 4.8e-10 · 22x22: e=10 8.0e-15 · larger ones less.
 * 10x10, 12x12 and 8x18 give up their last correction; all others use the full k / 2; with erasures two check words
 * always stay unused: 2 e + s <= k - 2. */
int reed_solomon_bound(const struct symbol_size *size); /* corrections in one block, without erasures */
double reed_solomon_chance(int length, int check, int errors, int erasures);

/* Corrects data + check codewords in place. `erased`: NULL, or a byte a codeword, other than 0 where the value is not
 * known. `risk`: NULL, or the chance of a false read that may still be run; a try takes what it risks from it, and
 * corrects only as many words as a sixty-fourth of it allows, so that it is never used up. Returns how many words were
 * changed, or -1 and the words untouched. */
int reed_solomon_correct(const struct symbol_size *size, const uint8_t *erased, double *risk, uint8_t *codewords);

/* Fills the check words behind size->data data words. */
void reed_solomon_extend(const struct symbol_size *size, uint8_t *codewords);

#endif
