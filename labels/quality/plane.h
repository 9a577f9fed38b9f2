#ifndef LABELS_QUALITY_PLANE_H
#define LABELS_QUALITY_PLANE_H

#include <stdbool.h>
#include <stddef.h>

/* A flat thing as a camera sees it: places on it to places in the picture, or from one flat thing to another (a
 * projective map, Hartley and Zisserman, Multiple View Geometry, 2nd ed., section 4.1: the direct linear transform with
 * places moved and scaled to around 0 first). Straight lines stay straight: a lens that bends them is not in it. Pure.
 */

struct plane {
    double at[3][3]; /* to = at * (from x, from y, 1), divided by its third part */
};

/* The map that brings `from` nearest to `to`; four places or more, no three of four on a line. False: these give none.
 */
bool plane_fit(const double (*from)[2], const double (*to)[2], size_t count, struct plane *plane);

void plane_place(const struct plane *plane, double x, double y, double to[2]);

/* First `first`, then `second`. */
struct plane plane_chain(const struct plane *first, const struct plane *second);

#endif
