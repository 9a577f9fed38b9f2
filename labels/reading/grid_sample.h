#ifndef LABELS_READING_GRID_SAMPLE_H
#define LABELS_READING_GRID_SAMPLE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/picture/grey.h"
#include "labels/reading/quad.h"
#include "labels/reading/symbol_size.h"

/* Modules read out of a grey picture through the perspective map of a symbol. */

struct grid {
    const struct symbol_size *size;
    float value[SYMBOL_MODULES]; /* mean grey of a module, row by row from the top (row 0 is the clock track) */
    float dark, light;           /* mean of the finder's dark and light modules, the L's and the track's */
};

enum { GRID_POINTS = 5 };
/* Mean of `points` points in each module, 1 (its middle) or GRID_POINTS. Places outside the picture take the nearest
 * pixel. `inverted` in the picture (light on dark) shows as dark > light. */
void grid_sample(const struct grey *picture, const struct quad *quad, const struct symbol_size *size, int points,
                 struct grid *grid);

/* How to tell dark from light. All of them assume nothing about exposure; they are tried in this order. */
enum grid_threshold {
    GRID_GLOBAL,    /* half-way between the finder's dark and light */
    GRID_LOCAL,     /* half-way between darkest and lightest of the 5 x 5 modules around, where they differ enough */
    GRID_SHARPENED, /* local, after taking away what a blurred neighbourhood adds */
    GRID_THRESHOLDS
};
/* modules: 1 dark (after undoing an inversion), 0 light. unsure: NULL, or gets 1 where the grey is too near the limit
 * to tell. */
void grid_decide(const struct grid *grid, enum grid_threshold threshold, uint8_t *modules, uint8_t *unsure);

/* How well the clock tracks on top and right alternate: mean of their light modules minus mean of their dark ones, as
 * a part of the contrast between the L and the quiet zone beside it. 1 is perfect, about 0 no track at this pitch. */
double grid_clock(const struct grey *picture, const struct quad *quad, const struct symbol_size *size);

/* Moves the corners, each by up to about a module, so that the finder and the quiet zone fit best: what edge_fit does
 * at once, for symbols whose edges it cannot see. Grows `*steps`. */
void grid_fit(const struct grey *picture, const struct symbol_size *size, struct quad *quad, int64_t *steps);

#endif
