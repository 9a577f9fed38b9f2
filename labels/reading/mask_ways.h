#ifndef LABELS_READING_MASK_WAYS_H
#define LABELS_READING_MASK_WAYS_H

#include <stddef.h>
#include <stdint.h>

#include "labels/reading/mask.h"

/* The inner loops of mask.c, once portable and once for each set of vector instructions. Each does the first so many
 * tiles of a row of tiles and returns how many; the portable one does all of them, and so what the others leave. */

struct mask_loops {
    /* Darkest and lightest mean of 2 x 2 pixels of each tile, of eight whole rows. */
    int (*measure)(const uint8_t *pixels, size_t stride, int tiles, uint8_t *least, uint8_t *most);
    /* A byte a tile of one row: bit i is 1 where pixel i is below the tile's limit. */
    int (*mark)(const uint8_t *pixels, int tiles, const uint8_t *limits, uint8_t *bits);
};

extern const struct mask_loops mask_loops_portable, mask_loops_sse2, mask_loops_avx2;

/* Portable, of tiles that the picture's edge cuts: `width` and `height` 1 to 8. */
void mask_measure_tile(const uint8_t *pixels, size_t stride, int width, int height, uint8_t *least, uint8_t *most);

#endif
