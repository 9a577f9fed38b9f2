#ifndef LABELS_DRAWING_MATRIX_H
#define LABELS_DRAWING_MATRIX_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* Bytes -> the modules of one square Data Matrix ECC 200 symbol (ISO/IEC 16022), as small as the bytes allow. The
 * encoding itself is zint's; a message in an ISO/IEC 15434 format 05 or 06 envelope becomes one macro codeword. */

enum {
    MATRIX_SIDE = 144,   /* modules of the largest square */
    MATRIX_BYTES = 3116, /* longest content: digits at 144 x 144 */
    MATRIX_STRIDE = MATRIX_SIDE / 8
};

struct matrix {
    int rows, columns;                         /* modules, finder included, quiet zone not */
    uint8_t bits[MATRIX_SIDE * MATRIX_STRIDE]; /* 1 = dark, most significant bit left, MATRIX_STRIDE bytes a row */
};

/* Any bytes, NUL and GS too. With `gs1` the content is element strings with the identifiers in square brackets,
 * "[01]09506000134352[17]270131", checked against the GS1 rules; FNC1 comes first and between.
 * False: FAULT_INPUT (empty, too long, not legal GS1) or FAULT_STORAGE; `*matrix` untouched. Pure but for memory. */
bool matrix_encode(struct span content, bool gs1, struct matrix *matrix, struct fault *fault);

/* Is the module dark? Row 0 on top; the caller vouches for the range (assert). */
bool matrix_get(const struct matrix *matrix, int row, int column);

#endif
