#ifndef LABELS_READING_EXPLAIN_H
#define LABELS_READING_EXPLAIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/grey.h"
#include "labels/reading/border.h"
#include "labels/reading/grid_sample.h"
#include "labels/reading/mask.h"
#include "labels/reading/outline.h"
#include "labels/reading/quad.h"
#include "labels/reading/reader.h"
#include "labels/reading/track.h"

/* For whoever wants to see what the reader sees: each stage tells what it came to, as it goes. Nothing here changes
 * what is read; without a listener it costs a test of a pointer a stage. Whatever a call is given is borrowed until it
 * returns.
 *
 * The order of calls, for each size of the picture (itself, half, quarter): level; border for each looked at; corners;
 * then for each corner, best first: corner, track (for each way tried), size and grid (none or more), end. */

struct explain_level {
    const struct grey *picture; /* of this level */
    int factor;                 /* 1, 2, 4: a pixel of it is as many of the whole picture */
    const struct mask *mask;
    const uint8_t *limits; /* mask_make_with_limits */
};

struct explain_size { /* a size of symbol that fits the clock tracks as counted; the best few are tried */
    const struct symbol_size *size;
    const struct quad *quad; /* after the edges were fitted, when they were */
    double clock;            /* how well the clock tracks alternate, 1 is perfect */
    bool fits;               /* edge_fit found the edges of all four sides */
};

enum explain_grid_end { EXPLAIN_PALE, EXPLAIN_FINDER, EXPLAIN_CODEWORDS, EXPLAIN_GRID_READ };

struct explain_grid { /* a grid of modules, as one way to tell dark from light has them */
    const struct symbol_size *size;
    const struct quad *quad;
    const struct grid *grid;
    bool thorough;          /* the long look: more points a module, more ways to tell dark from light */
    int threshold;          /* enum grid_threshold */
    const uint8_t *modules; /* 1 dark; NULL with EXPLAIN_PALE */
    double finder, wanted;  /* part of the finder's modules that is right, and that must be */
    enum explain_grid_end end;
};

enum explain_end {
    EXPLAIN_READ,
    EXPLAIN_KNOWN,    /* inside of a symbol that is read already */
    EXPLAIN_AGAIN,    /* it read, as a symbol that is read already */
    EXPLAIN_NO_TRACK, /* no clock tracks where the legs end */
    EXPLAIN_NO_GRID,  /* no grid read */
    EXPLAIN_UNTRIED,  /* the bound on work or on the count was reached before */
};

/* All of them are set. Places of corner and border are pixels of the level, all others of the whole picture. */
struct explain {
    void *context; /* the first argument of each */
    void (*level)(void *context, const struct explain_level *level);
    void (*border)(void *context, const struct border *border, bool has_corner);
    void (*corners)(void *context, const struct outline_corner *corners, size_t count);
    void (*corner)(void *context, size_t index);
    void (*track)(void *context, const struct track_way *way, const struct track *track); /* NULL: none found */
    void (*size)(void *context, const struct explain_size *size);
    void (*grid)(void *context, const struct explain_grid *grid);
    void (*end)(void *context, enum explain_end end, const struct reader_symbol *symbol); /* NULL but for READ, AGAIN */
};

#endif
