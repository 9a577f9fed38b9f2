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

struct border_walk {
    const struct border_table *table;
    const struct mask *mask;
    uint8_t *seen_left, *seen_right; /* of the mask's size: the edge on this side of a dark pixel was passed */
    struct border_point *points;     /* BORDER_POINTS of them */
    int least;                       /* shorter borders are followed and not shown */
    int x, y;                        /* the scan has come to here */
    int64_t steps;                   /* points followed so far */
};

struct border {
    const struct border_point *points; /* the walk's, until the next one */
    int count;
    bool hole;
    int left, top, right, bottom; /* of the points */
};

/* The memory is the caller's; `seen_*` is cleared here. */
void border_begin(struct border_walk *walk, const struct border_table *table, const struct mask *mask,
                  uint8_t *seen_left, uint8_t *seen_right, struct border_point *points, int least);
/* The next border of `least` to BORDER_POINTS points, from top to bottom; false: that was all. */
bool border_next(struct border_walk *walk, struct border *border);

#endif
