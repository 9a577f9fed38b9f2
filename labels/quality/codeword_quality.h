#ifndef LABELS_QUALITY_CODEWORD_QUALITY_H
#define LABELS_QUALITY_CODEWORD_QUALITY_H

#include <stdint.h>

#include "labels/quality/module_values.h"

/* What the codewords say of the print, by ISO/IEC 15415:2011: how much error correction is left, and the modulation
 * and reflectance margin of the whole symbol, which forgive as many poor codewords as error correction would. Finder
 * modules take no part; the fixed pattern is judged apart (fixed_pattern.h). Pure. */

/* 1 - 2t / d of the block that has least left, never below 0: t its bad codewords, d its check codewords. No word
 * counts as an erasure: a module is on one side of the threshold or on the other. `bad`: a byte a codeword, data and
 * check. */
double codeword_unused(const struct symbol_size *size, const uint8_t *bad);

struct codeword_unused_now {
    double unused;
    int level, wrong; /* wrong: codewords with a module of the wrong colour */
};
struct codeword_unused_now codeword_unused_measure(const struct module_values *values,
                                                   const struct module_contrast *contrast);

struct codeword_modulation {
    double least, middle; /* of the codewords' poorest modules: the poorest, and the median */
    int level;
};
/* `margin`: the reflectance margin instead of the modulation. */
struct codeword_modulation codeword_modulation_measure(const struct module_values *values,
                                                       const struct module_contrast *contrast, bool margin);

#endif
