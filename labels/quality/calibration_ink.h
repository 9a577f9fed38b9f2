#ifndef LABELS_QUALITY_CALIBRATION_INK_H
#define LABELS_QUALITY_CALIBRATION_INK_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/drawing/calibration_plan.h"

/* Where a straight walk over a calibration label may meet ink: there dark means nothing. Pure. */

struct ink_walk {
    double x, y;   /* start, millimetres of the plan */
    double dx, dy; /* a step; along one axis */
    size_t steps;
};

/* Sets marks[0 … steps - 1]: ink of the plan, or nearer than `near` millimetres to it. */
void calibration_ink_mark(const struct calibration_plan *plan, const struct ink_walk *walk, double near, bool *marks);

#endif
