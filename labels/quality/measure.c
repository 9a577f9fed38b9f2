#include "labels/quality/measure.h"

#include <math.h>

#include "labels/reading/grey_at.h"

enum { ACROSS = 9 /* points of an aperture, each way */, STEPS = 20 /* from one module's middle to the next */ };
static const double APERTURE = 0.8;       /* modules; ISO/IEC 15415 as commonly applied: 0.8 of the smallest module */
static const double LEAST_CONTRAST = 0.2; /* of the symbol's, that an edge must have to be one */

struct seen {
    const struct grey *picture;
    const struct quad *quad;
    const struct symbol_size *size;
    bool inverted;
};

/* Ink low, at a place counted in modules from the upper left corner. */
static double value_at(const struct seen *seen, double row, double column)
{
    double x = 0, y = 0;
    quad_at(seen->quad, column / seen->size->columns, 1 - row / seen->size->rows, &x, &y);
    const double grey = grey_at(seen->picture, x, y);
    return seen->inverted ? 255 - grey : grey;
}

static double aperture_mean(const struct seen *seen, double row, double column)
{
    double sum = 0;
    int count = 0;
    for (int i = 0; i < ACROSS * ACROSS; i++) {
        const int row_of = i / ACROSS, column_of = i % ACROSS;
        const double down = (row_of + 0.5) / ACROSS - 0.5, right = (column_of + 0.5) / ACROSS - 0.5;
        if (hypot(down, right) > 0.5)
            continue;
        sum += value_at(seen, row + APERTURE * down, column + APERTURE * right);
        count++;
    }
    return sum / count;
}

void measure_values(const struct grey *picture, const struct quad *quad, bool inverted, struct module_values *values)
{
    const struct symbol_size *size = values->size;
    const struct seen seen = {picture, quad, size, inverted};
    for (int row = -1; row <= size->rows; row++)
        for (int column = -1; column <= size->columns; column++)
            values->value[module_values_place(size, row, column)] =
                (float)aperture_mean(&seen, row + 0.5, column + 0.5);
}

/* The shift of the edge on `line` beside module `along`: axis 0 goes right, axis 1 goes down. NaN: no edge is seen. */
static float find_shift(const struct seen *seen, int axis, int line, int along, int dark_before, double least)
{
    double value[STEPS + 1], best = NAN;
    for (int i = 0; i <= STEPS; i++) {
        value[i] = 0;
        const double place = line - 0.5 + (double)i / STEPS;
        for (int k = -1; k <= 1; k++) { /* a few places along the edge, so that a speck of noise is none */
            const double beside = along + 0.5 + 0.2 * k;
            value[i] += value_at(seen, axis == 0 ? beside : place, axis == 0 ? place : beside) / 3;
        }
    }
    if (dark_before * (value[STEPS] - value[0]) < least)
        return NAN;
    const double level = (value[0] + value[STEPS]) / 2;
    for (int i = 1; i <= STEPS; i++) {
        const double before = dark_before * (value[i - 1] - level), after = dark_before * (value[i] - level);
        if (before > 0 || after <= 0)
            continue;
        const double shift = (i - 1 - before / (after - before)) / STEPS - 0.5;
        if (isnan(best) || fabs(shift) < fabs(best))
            best = shift;
    }
    return (float)best;
}

void measure_edges(const struct grey *picture, const struct quad *quad, bool inverted,
                   const struct module_values *values, struct module_edges *edges)
{
    const struct symbol_size *size = values->size;
    const struct seen seen = {picture, quad, size, inverted};
    const struct module_contrast contrast = module_values_contrast(values);
    const double least = LEAST_CONTRAST * (contrast.light - contrast.dark);
    for (int k = 0; k < EDGE_AXES; k++) {
        struct edge_axis *axis = &edges->axis[k];
        axis->lines = k == 0 ? size->columns : size->rows;
        axis->length = k == 0 ? size->rows : size->columns;
        for (int line = 0; line <= axis->lines; line++)
            for (int i = 0; i < axis->length; i++) {
                const int after = k == 0 ? module_values_place(size, i, line) : module_values_place(size, line, i);
                const int before =
                    k == 0 ? module_values_place(size, i, line - 1) : module_values_place(size, line - 1, i);
                const int dark_before = values->dark[before] - values->dark[after];
                axis->edge[line * SYMBOL_SIDE + i] = (struct module_edge){
                    dark_before ? find_shift(&seen, k, line, i, dark_before, least) : NAN, (int8_t)dark_before};
            }
    }
}

static double side(const struct quad *quad, int from, int to)
{
    return hypot(quad->corners[to][0] - quad->corners[from][0], quad->corners[to][1] - quad->corners[from][1]);
}

void measure_sides(const struct quad *quad, double sides[EDGE_AXES])
{
    sides[0] = (side(quad, 0, 3) + side(quad, 1, 2)) / 2;
    sides[1] = (side(quad, 0, 1) + side(quad, 3, 2)) / 2;
}
