#ifndef LABELS_QUALITY_MODULE_EDGES_H
#define LABELS_QUALITY_MODULE_EDGES_H

#include <stdint.h>

#include "labels/reading/symbol_size.h"

/* Where the ink of a symbol ends, module by module, against the grid that its four corners make; and what follows:
 * print growth and non-uniformity of the grid. The corners lie where the ink ends too, so that growth stretches the
 * grid; it is taken out again before shifts are judged. Pure. */

struct module_edge {
    float shift;        /* modules to the right (or down) of its line; NaN: not found */
    int8_t dark_before; /* 1: ink lies left of it (above it), -1: right of it (below it), 0: no edge is wanted here */
};

enum { EDGE_LINES = SYMBOL_SIDE + 1, EDGE_AXES = 2 };

/* Lines across one direction; line 0 and line `lines` are the symbol's own sides. */
struct edge_axis {
    int lines;                                         /* modules in this direction */
    int length;                                        /* edges on a line: modules in the other direction */
    struct module_edge edge[EDGE_LINES * SYMBOL_SIDE]; /* line * SYMBOL_SIDE + module on it */
};

/* [0]: lines between columns, counted from the left; [1]: between rows, from the top. */
struct module_edges {
    struct edge_axis axis[EDGE_AXES];
};

/* How much wider a dark bar of one module is printed, in modules; negative: narrower. NaN: too few edges. Each line
 * that has edges of both kinds answers for itself, so that shifts of the grid do not count. */
double module_edges_growth(const struct edge_axis *axis);

/* Grid non-uniformity of ISO/IEC 15415: the largest distance of a crossing of lines from where it should be, modules.
 * A crossing lies where the median of the edges near it says, so that one broken edge is not taken for a shift.
 * `growth`: of both axes. NaN: too few edges. */
double module_edges_deviation(const struct module_edges *edges, const double growth[EDGE_AXES]);

/* Axial non-uniformity of ISO/IEC 15415 from the two pitches, in any unit. */
double module_edges_axial(double pitch_x, double pitch_y);

#endif
