#ifndef LABELS_READING_EDGE_FIT_H
#define LABELS_READING_EDGE_FIT_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/picture/grey.h"
#include "labels/reading/quad.h"
#include "labels/reading/symbol_size.h"

/* Places the four sides of a symbol where its ink ends: across the L and across each dark module of the clock tracks
 * the grey is followed from the quiet zone inwards to where it is half-way, a line is laid through these places, and
 * the corners are where the lines meet. Good to a few hundredths of a module, and a thousandth of the work of trying
 * corners one after the other. `quad` may be off by two thirds of a module. False when a side shows too few edges;
 * `quad` is then untouched. Grows `*steps`. */
bool edge_fit(const struct grey *picture, const struct symbol_size *size, struct quad *quad, int64_t *steps);

#endif
