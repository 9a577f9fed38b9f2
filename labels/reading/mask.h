#ifndef LABELS_READING_MASK_H
#define LABELS_READING_MASK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/grey.h"

/* A picture in one bit a pixel, 1 dark. Tiles of 8 x 8 pixels have a limit each: half-way between the darkest and the
 * lightest of the 3 x 3 tiles around, where they differ; a tile in even surroundings is dark or light as a whole, by
 * the limit of the last tile before it that had one. So a module larger than a tile stays one piece, and light symbols
 * on dark are as whole as dark ones on light. Means of 2 x 2 pixels are compared for the limits, against noise, and
 * "differ" means: by twice what the even tiles of this picture do.
 *
 * Bit x & 7 of byte x / 8 of a row is pixel x. Around the picture is light: MASK_PAD bytes before and behind each row's
 * bytes, and MASK_ROWS rows above and below. */

enum { MASK_TILE = 8, MASK_PAD = 8, MASK_ROWS = 2, MASK_LEAST_CONTRAST = 24 /* grey levels; less is shade */ };

/* A picture in which more than one pixel of so many stands alone among its four neighbours is noise all over: every
 * pixel then takes what most of the 3 x 3 around are, or half of the work would go into specks. Nothing in a symbol
 * stands alone, unless its modules are single pixels. */
enum { MASK_SPECKLED = 64 };

struct mask {
    uint8_t *bytes; /* the rows above the picture's first */
    size_t stride;  /* bytes from row to row, a multiple of 8 */
    int width, height;
    bool smoothed; /* it was speckled */
};

/* Of every eighth row. */
bool mask_is_speckled(const struct mask *mask);
/* Each pixel becomes what most of the 3 x 3 pixels around it are. `memory`: two rows of the mask's stride. */
void mask_smooth(const struct mask *mask, uint8_t *memory);

/* What mask_make works with; for tests and the bench, all give the same bits. */
enum mask_way { MASK_PORTABLE, MASK_SSE2, MASK_AVX2, MASK_BEST };
bool mask_way_runs(enum mask_way way); /* here */

size_t mask_bytes_size(int width, int height);
size_t mask_tiles_size(int width);
/* `bytes` and `memory` are the caller's, of the sizes above, aligned as by malloc. `way` must run here. */
struct mask mask_make(const struct grey *picture, enum mask_way way, uint8_t *bytes, uint8_t *memory);
/* The same, keeping the limits: a byte a tile, row by row, mask_limits_size of them; 0 and 255 stand for even tiles
 * that are light and dark as a whole. NULL: not kept. */
struct mask mask_make_with_limits(const struct grey *picture, enum mask_way way, uint8_t *bytes, uint8_t *memory,
                                  uint8_t *limits);
size_t mask_limits_size(int width, int height);

static inline const uint8_t *mask_row(const struct mask *mask, int y) /* -2 to height + 1 */
{
    return mask->bytes + (size_t)(y + MASK_ROWS) * mask->stride + MASK_PAD;
}

/* x from -8 * MASK_PAD, y from -2, to as much beyond the picture. */
static inline bool mask_bit(const struct mask *mask, int x, int y)
{
    return mask_row(mask, y)[x >> 3] >> (x & 7) & 1;
}

/* Dark at a place; outside is light. */
static inline bool mask_at(const struct mask *mask, double x, double y)
{
    return x > -0.5 && y > -0.5 && x < mask->width - 0.5 && y < mask->height - 0.5 &&
           mask_bit(mask, (int)(x + 0.5), (int)(y + 0.5));
}

#endif
