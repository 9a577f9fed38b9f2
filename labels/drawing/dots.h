#ifndef LABELS_DRAWING_DOTS_H
#define LABELS_DRAWING_DOTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* A label as the print head sees it: one bit a dot, 1 = black, most significant bit = leftmost of its eight, row 0 on
 * top. That is the order of PWG raster black_1 and of a 1-bit PNG. Bits past the width are 0. */

enum {
    DOTS_DPI_MIN = 100, /* below that a 0.5 mm module has no whole dots to speak of */
    DOTS_DPI_MAX = 1200,
    DOTS_SIDE_MAX = 20000 /* dots: 420 mm at 1200 dpi */
};

struct dots {
    int width, height;
    size_t stride; /* bytes from row to row */
    uint8_t *rows; /* owned; freed by dots_clear */
    int dpi;       /* dots per inch, both ways */
};

/* All white. False: FAULT_INPUT for sizes outside the limits, FAULT_STORAGE when there is no memory; `*dots`
 * untouched. The caller clears what it got. */
bool dots_init(int width, int height, int dpi, struct dots *dots, struct fault *fault);
void dots_clear(struct dots *dots); /* accepts a zeroed one, and twice */

/* Is the dot black? Outside the label everything is white. */
bool dots_get(const struct dots *dots, int x, int y);

/* Puts the label on a raster of `width` x `height` dots, moved by whole dots right and down; what is left bare is
 * white. False: FAULT_INPUT when black dots would fall off the raster, `*dots` is then as it was. FAULT_STORAGE without
 * memory.
 */
bool dots_place(struct dots *dots, int right, int down, int width, int height, struct fault *fault);

/* Blackens, or makes white, what lies on the label of a box. */
void dots_fill(struct dots *dots, int x, int y, int width, int height, bool black);
/* Where `stamp` is black the dots become black, or white; its upper left corner at x, y. What lies off the label is
 * left out. */
void dots_put(struct dots *dots, const struct dots *stamp, int x, int y, bool black);

/* A length in micrometres as dots, to the nearest, where the printer's dots are as far apart as its resolution says: a
 * raster's size. What is printed goes by pitch.h. */
int dots_of_um(int um, int dpi);

#endif
