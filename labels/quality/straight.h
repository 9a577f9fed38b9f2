#ifndef LABELS_QUALITY_STRAIGHT_H
#define LABELS_QUALITY_STRAIGHT_H

#include <stdbool.h>
#include <stddef.h>

/* A straight line through points of which some are wrong: of the lines through two of the points the one whose median
 * distance is least (least median of squares, Rousseeuw 1984), then least squares through the points near it. Pure. */

enum { STRAIGHT_POINTS = 96 };

struct straight {
    double x, y;    /* a place on it */
    double dx, dy;  /* its direction, length 1 */
    size_t kept;    /* points that it was drawn through */
    double scatter; /* their standard deviation across it */
};

/* At most STRAIGHT_POINTS, five or more. `least` is the distance within which a point counts as near however well the
 * others agree. False: too few, or they lie in one place. */
bool straight_fit(const double (*points)[2], size_t count, double least, struct straight *line);

/* False: they do not meet. */
bool straight_meet(const struct straight *a, const struct straight *b, double place[2]);

#endif
