#include "labels/quality/calibration_fit.h"

#include <math.h>
#include <stdlib.h>

#include "labels/quality/solve.h"

enum { ROUNDS = 4, UNKNOWNS = 3, LINES_LEAST = 3 };
/* Millimetres: a place within NEAR is kept however well the others agree; at first, when the map is rough, more. */
static const double NEAR = 0.03, SIGMAS = 3, SIGMA_OF_MEDIAN = 1.4826;

static int by_size(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

double calibration_fit_at(const struct fit_axis *axis, double x, double y)
{
    return axis->at[0] + axis->at[1] * x + axis->at[2] * y;
}

double calibration_fit_error(const struct fit_axis *axis, double x, double y)
{
    const double place[UNKNOWNS] = {1, x, y};
    double square = 0;
    for (int i = 0; i < UNKNOWNS; i++)
        for (int k = 0; k < UNKNOWNS; k++)
            square += place[i] * axis->spread[i][k] * place[k];
    return sqrt(fmax(square, 0));
}

static double miss(const struct fit_axis *axis, const struct fit_place *place)
{
    return fabs(place->came_out - calibration_fit_at(axis, place->plan[0], place->plan[1]));
}

/* Solves for the map and, beside it, for the inverse of the normal equations. */
static bool draw(struct fit_axis *axis)
{
    struct equations equations = {.count = UNKNOWNS, .sides = 1}, inverse;
    for (size_t i = 0; i < axis->count; i++) {
        const struct fit_place *place = &axis->places[i];
        const double left[UNKNOWNS] = {1, place->plan[0], place->plan[1]};
        if (!place->left_out)
            solve_add(&equations, left, &place->came_out, place->weight);
    }
    inverse = equations;
    inverse.sides = UNKNOWNS;
    for (int i = 0; i < UNKNOWNS; i++)
        for (int k = 0; k < UNKNOWNS; k++)
            inverse.right[i][k] = i == k;
    if (!solve(&equations) || !solve(&inverse))
        return false;
    for (int i = 0; i < UNKNOWNS; i++) {
        axis->at[i] = equations.right[i][0];
        for (int k = 0; k < UNKNOWNS; k++)
            axis->spread[i][k] = inverse.right[i][k];
    }
    return true;
}

/* By the median of all: what lies beyond three times the scatter that it stands for is left out. */
static void leave_out(struct fit_axis *axis)
{
    double misses[FIT_PLACES];
    size_t count = 0;
    for (size_t i = 0; i < axis->count; i++)
        if (axis->places[i].weight == 1)
            misses[count++] = miss(axis, &axis->places[i]);
    if (count == 0)
        return;
    qsort(misses, count, sizeof *misses, by_size);
    const double most = fmax(NEAR, SIGMAS * SIGMA_OF_MEDIAN * misses[count / 2]);
    for (size_t i = 0; i < axis->count; i++)
        axis->places[i].left_out = axis->places[i].weight == 1 && miss(axis, &axis->places[i]) > most;
}

static void count_kept(struct fit_axis *axis)
{
    double square = 0;
    axis->kept = 0;
    for (size_t i = 0; i < axis->count; i++)
        if (axis->places[i].weight == 1 && !axis->places[i].left_out) {
            square += pow(miss(axis, &axis->places[i]), 2);
            axis->kept++;
        }
    axis->scatter = axis->kept > LINES_LEAST ? sqrt(square / (double)(axis->kept - LINES_LEAST)) : 0;
    for (int i = 0; i < UNKNOWNS; i++)
        for (int k = 0; k < UNKNOWNS; k++)
            axis->spread[i][k] *= axis->scatter * axis->scatter;
}

bool calibration_fit_axis(struct fit_axis *axis)
{
    for (size_t i = 0; i < axis->count; i++)
        axis->places[i].left_out = false;
    if (!draw(axis))
        return false;
    for (int round = 0; round < ROUNDS; round++) {
        leave_out(axis);
        if (!draw(axis))
            return false;
    }
    count_kept(axis);
    return true;
}
