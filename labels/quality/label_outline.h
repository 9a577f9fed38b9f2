#ifndef LABELS_QUALITY_LABEL_OUTLINE_H
#define LABELS_QUALITY_LABEL_OUTLINE_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/drawing/calibration_plan.h"
#include "labels/picture/grey.h"
#include "labels/quality/plane.h"

/* The four edges of a calibration label that lies on something darker than its paper. From inside the label, walks go
 * out between the lines of its rulers; where paper ends for a millimetre and more, the edge is put at half height
 * between paper and ground, and a straight line is drawn through what the walks of one side found. Rounded corners are
 * left out. */

enum { OUTLINE_EDGES = 4, OUTLINE_WALKS = 72 };

struct label_outline {
    double corner[OUTLINE_EDGES][2]; /* pixels; of the unrounded label: upper left, upper right, lower right, lower
                                        left, as the label is drawn */
    double scatter[OUTLINE_EDGES];   /* of an edge's place, pixels: standard error of its line; top, right, bottom, left
                                      */
};

/* `print` brings millimetres of the plan into the picture, to within a few millimetres of the label. False: FAULT_INPUT
 * with what hides an edge; `*outline` then holds nothing of use. */
bool label_outline_find(const struct grey *picture, const struct plane *print, const struct calibration_plan *plan,
                        struct label_outline *outline, struct fault *fault);

#endif
