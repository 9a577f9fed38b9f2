#include "labels/quality/module_edges.h"

#include <math.h>
#include <stdlib.h>

enum {
    REACH = 4, /* modules to each side of a crossing whose edges say where it is */
    LEAST_EDGES = 3,
};

static int by_number(const void *one, const void *two)
{
    const double a = *(const double *)one, b = *(const double *)two;
    return (a > b) - (a < b);
}

static double median(double *numbers, int count)
{
    if (count == 0)
        return NAN;
    qsort(numbers, (size_t)count, sizeof *numbers, by_number);
    return (numbers[(count - 1) / 2] + numbers[count / 2]) / 2;
}

static double line_median(const struct edge_axis *axis, int line, int dark_before)
{
    double shifts[SYMBOL_SIDE];
    int count = 0;
    for (int i = 0; i < axis->length; i++) {
        const struct module_edge *edge = &axis->edge[line * SYMBOL_SIDE + i];
        if (edge->dark_before == dark_before && !isnan(edge->shift))
            shifts[count++] = edge->shift;
    }
    return median(shifts, count);
}

double module_edges_growth(const struct edge_axis *axis)
{
    double sum = 0;
    int count = 0;
    for (int line = 1; line < axis->lines; line++) {
        const double growth = line_median(axis, line, 1) - line_median(axis, line, -1);
        if (isnan(growth))
            continue;
        sum += growth;
        count++;
    }
    if (count == 0)
        return NAN;
    const double seen =
        sum / count; /* in modules of the stretched grid: `lines` of them are lines + growth real ones */
    return seen / (1 - seen / axis->lines);
}

/* The shift of a line near module `near` of it, in real modules. NaN: too few edges. */
static double line_shift(const struct edge_axis *axis, double growth, int line, int near)
{
    double shifts[2 * REACH];
    int count = 0;
    for (int i = near - REACH; i < near + REACH; i++) {
        if (i < 0 || i >= axis->length)
            continue;
        const struct module_edge *edge = &axis->edge[line * SYMBOL_SIDE + i];
        if (edge->dark_before == 0 || isnan(edge->shift))
            continue;
        const double place = (line + edge->shift) * (axis->lines + growth) / axis->lines - growth / 2;
        shifts[count++] = place - line - edge->dark_before * growth / 2;
    }
    return count < LEAST_EDGES ? NAN : median(shifts, count);
}

double module_edges_deviation(const struct module_edges *edges, const double growth[EDGE_AXES])
{
    const struct edge_axis *across = &edges->axis[0], *down = &edges->axis[1];
    double largest = NAN;
    for (int row = 0; row <= down->lines; row++)
        for (int column = 0; column <= across->lines; column++) {
            const double x = line_shift(across, growth[0], column, row), y = line_shift(down, growth[1], row, column);
            if (!isnan(x) || !isnan(y)) /* fmax keeps the one that is a number */
                largest = fmax(largest, hypot(isnan(x) ? 0 : x, isnan(y) ? 0 : y));
        }
    return largest;
}

double module_edges_axial(double pitch_x, double pitch_y)
{
    return fabs(pitch_x - pitch_y) / ((pitch_x + pitch_y) / 2);
}
