#ifndef LABELS_READING_QUAD_H
#define LABELS_READING_QUAD_H

#include <stdbool.h>

/* The perspective map of a symbol: (u, v) in the unit square to pixels. (0, 0) is the L's corner, u runs along the
 * bottom leg of the upright symbol, v along its left leg. Pixels have y down. */
struct quad {
    double corners[4][2]; /* of (0,0), (0,1), (1,1), (1,0): clockwise as seen, or the other way when mirrored */
    double map[3][3];     /* pixel = map * (u, v, 1), divided by its third part */
};

/* False when the corners do not make a convex figure; `quad` is then untouched. */
bool quad_make(const double corners[4][2], struct quad *quad);
/* The same place seen from behind: u and v change parts. */
struct quad quad_mirrored(const struct quad *quad);
/* The same place in a picture `factor` times as large (pixel centres at whole coordinates). */
struct quad quad_scaled(const struct quad *quad, int factor);
bool quad_holds(const double corners[4][2], double x, double y);
void quad_at(const struct quad *quad, double u, double v, double *x, double *y);
double quad_longest(const struct quad *quad); /* longest side in pixels */

#endif
