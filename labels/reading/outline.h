#ifndef LABELS_READING_OUTLINE_H
#define LABELS_READING_OUTLINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/border.h"

/* Outlines of dark and of light regions, and in them the corner of an L: two long, straight, solid sides that meet at
 * about a right angle. The other sides of a symbol are notched by the clock track, so they do not count as solid. */

/* A corner of an L in pixels, clockwise as seen: from `before` to `corner` to `after`, the symbol on the right-hand
 * side. They lie on the outer edge of the ink. */
struct outline_corner {
    double before[2], corner[2], after[2];
    double module; /* thickness of the thinner leg: a first guess at the module */
    double score;  /* larger is tried first */
    bool light;    /* a light L on dark */
};

enum {
    OUTLINE_LEAST_SIDE = 12, /* pixels: smaller regions are not looked at */
    OUTLINE_LEAST_POINTS = 4 * OUTLINE_LEAST_SIDE,
    OUTLINE_CORNERS = 2048, /* most corners kept of a picture */
};

struct explain; /* labels/reading/explain.h */

struct outline_store {
    uint32_t *rows;                 /* 2 * mask height + 2 of them; the caller's */
    struct outline_corner *corners; /* OUTLINE_CORNERS of them; the caller's */
    uint32_t *order;                /* OUTLINE_CORNERS of them; the caller's, for sorting */
    size_t count;
    const struct explain *explain; /* told of each border; NULL: nobody */
    /* Is there nothing to look for at this place, in the mask's pixels? NULL: there is everywhere. */
    bool (*is_done)(const void *context, double x, double y);
    const void *context;
    bool full; /* there were more corners than fit: the worse ones were dropped */
};

/* Looks at every border of the walk, just begun, and keeps the corners found, best first. Grows `*steps` by the work
 * done, which is bounded by a small multiple of the pixels. */
void outline_find_corners(struct border_walk *walk, struct outline_store *store, int64_t *steps);

#endif
