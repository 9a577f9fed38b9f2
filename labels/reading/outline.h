#ifndef LABELS_READING_OUTLINE_H
#define LABELS_READING_OUTLINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/mask.h"

/* Outlines of ink regions, and in them the corner of an L: two long, straight, solid sides that meet at about a right
 * angle. The other sides of a symbol are notched by the clock track, so they do not count as solid. */

struct outline_point {
    int16_t x, y;
};

/* A corner of an L in pixels, clockwise as seen: from `before` to `corner` to `after`, the symbol on the right-hand
 * side. They lie on the outer edge of the ink. */
struct outline_corner {
    double before[2], corner[2], after[2];
    double module; /* thickness of the thinner leg: a first guess at the module */
    double score;  /* larger is tried first */
};

enum {
    OUTLINE_LEAST_SIDE = 9,      /* pixels: smaller ink regions are not looked at */
    OUTLINE_CORNERS = 2048,      /* most corners kept of a picture */
    OUTLINE_POINTS = 256 * 1024, /* longest outline looked at; a 144x144 symbol at 10 pixels a module has 100 000 */
};

struct outline_store {
    struct outline_point *points;   /* OUTLINE_POINTS of them; the caller's */
    int32_t *rows;                  /* 2 * mask height + 2 of them; the caller's */
    struct outline_corner *corners; /* OUTLINE_CORNERS of them; the caller's */
    size_t count;
    bool full; /* there were more corners than fit: the worse ones were dropped */
};

/* Follows every outline once (marks MASK_SEEN) and keeps the corners found, best first. Grows `*steps` by the work
 * done, which is bounded by a small multiple of the cells. */
void outline_find_corners(const struct mask *mask, struct outline_store *store, int64_t *steps);

#endif
