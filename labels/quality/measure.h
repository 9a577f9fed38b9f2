#ifndef LABELS_QUALITY_MEASURE_H
#define LABELS_QUALITY_MEASURE_H

#include "labels/picture/grey.h"
#include "labels/quality/module_edges.h"
#include "labels/quality/module_values.h"
#include "labels/reading/quad.h"

/* Modules and edges of a symbol, taken out of its picture: the only part of this room that sees one. */

/* Fills values->value: means over a round aperture of 0.8 modules. `values` has its size. */
void measure_values(const struct grey *picture, const struct quad *quad, bool inverted, struct module_values *values);

/* Follows the grey from the middle of each module to the middle of its neighbour where ink should end between them,
 * to the place half-way between the two. */
void measure_edges(const struct grey *picture, const struct quad *quad, bool inverted,
                   const struct module_values *values, struct module_edges *edges);

/* Mean length in pixels of the sides along x (bottom and top) and along y (left and right). */
void measure_sides(const struct quad *quad, double sides[EDGE_AXES]);

#endif
