#ifndef LABELS_READING_BORDER_H
#define LABELS_READING_BORDER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/mask.h"

/* Borders between dark and light, each followed once (Suzuki and Abe 1985, "Topological structural analysis of
 * digitized binary images by border following": dark is joined over corners, light is not). The points are dark pixels;
 * both kinds are given clockwise as seen. */

struct border_point {
    int16_t x, y;
};

/* By the direction to look in first and the 3 x 3 pixels around: where to go, and which edges are passed. */
struct border_table {
    uint16_t next[8 * 512];
};
void border_table_fill(struct border_table *table);

enum {
    BORDER_POINTS = 256 * 1024, /* a longer one is no symbol's: 144x144 at 10 pixels a module has 100 000 */
};

/* A step's worth: along the mask's bits, and of a place held as y * 65536 + x. */
struct border_stride {
    int64_t bits;
    int32_t place;
};

struct border_walk {
    const struct border_table *table;
    const struct mask *mask;
    uint8_t *seen;                    /* of the mask's size: bit x, the edge on the left of pixel x was passed */
    struct border_point *points;      /* BORDER_POINTS of them */
    int least;                        /* shorter borders are followed and not shown */
    int x, y;                         /* the scan has come to this edge */
    int64_t steps;                    /* points followed so far */
    struct border_stride strides[32]; /* by where the table says a step leads */
};

struct border {
    const struct border_point *points; /* the walk's, until the next one */
    int count;
    bool hole;
    int left, top, right, bottom; /* of the points */
};

/* The memory is the caller's; `seen` is cleared here. */
void border_begin(struct border_walk *walk, const struct border_table *table, const struct mask *mask, uint8_t *seen,
                  struct border_point *points, int least);
/* The next border of `least` to BORDER_POINTS points, from top to bottom; false: that was all. */
bool border_next(struct border_walk *walk, struct border *border);

#endif
