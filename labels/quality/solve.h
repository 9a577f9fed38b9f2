#ifndef LABELS_QUALITY_SOLVE_H
#define LABELS_QUALITY_SOLVE_H

#include <stdbool.h>

/* A few linear equations: rows of `SOLVE_MOST` coefficients and right sides. Pure. */

enum { SOLVE_MOST = 8, SOLVE_SIDES = 4 };

struct equations {
    int count, sides;                      /* unknowns; right sides, each a system of its own */
    double left[SOLVE_MOST][SOLVE_MOST];   /* spoilt by solving */
    double right[SOLVE_MOST][SOLVE_SIDES]; /* becomes the solutions */
};

/* Adds `weight` times one observation, sum of left[i] * unknown[i] = right, to the normal equations of least squares;
 * of `right` as many as there are sides. */
void solve_add(struct equations *equations, const double *left, const double *right, double weight);

/* Gauss's elimination with the largest pivot. False: no single solution (as far as numbers can tell). */
bool solve(struct equations *equations);

#endif
