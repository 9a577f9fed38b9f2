#ifndef LABELS_READING_MODULE_MATRIX_H
#define LABELS_READING_MODULE_MATRIX_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/reading/reader.h"
#include "labels/reading/symbol_size.h"

/* The modules of one whole symbol, finders included, a byte each, row by row from the top: 1 dark, 0 light. The L is
 * on the left and at the bottom. */

/* Finder modules that are as the standard wants them, of how many there are. */
int module_matrix_finder_right(const struct symbol_size *size, const uint8_t *modules, int *of);

/* Placement, error correction and decodation. `unsure`: NULL, or a byte a module, other than 0 where it is not known;
 * `risk` as in reed_solomon.h. True: every field of `symbol` is set except corners, mirrored and inverted, which are
 * left alone. False: nothing is touched. The finder is not judged. */
bool module_matrix_read(const struct symbol_size *size, const uint8_t *modules, const uint8_t *unsure, double *risk,
                        struct reader_symbol *symbol);

/* The part of the finder's modules that must be right for a symbol to be taken for one. */
double module_matrix_finder_wanted(const struct symbol_size *size);

/* The rule by which modules seen in a picture become a symbol: enough of the finder is right (see above), and the rest
 * reads, with all modules as they are or, given `unsure`, with those left out. `*finder` gets the part of the finder
 * that is right, whatever the answer. */
bool module_matrix_accept(const struct symbol_size *size, const uint8_t *modules, const uint8_t *unsure, double *risk,
                          double *finder, struct reader_symbol *symbol);

/* Data + check codewords to modules, finder included. */
void module_matrix_write(const struct symbol_size *size, const uint8_t *codewords, uint8_t *modules);

#endif
