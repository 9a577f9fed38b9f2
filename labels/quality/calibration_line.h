#ifndef LABELS_QUALITY_CALIBRATION_LINE_H
#define LABELS_QUALITY_CALIBRATION_LINE_H

#include <stdbool.h>

#include "labels/drawing/calibration_plan.h"
#include "labels/picture/grey.h"
#include "labels/quality/plane.h"

/* Where one printed line of the calibration label came out, across itself. The middle of the line is looked for and not
 * its edge: ink that spreads, and a lens that blurs a line of one dot, move its two edges apart and its middle not. */

/* `print` brings millimetres of the plan into the picture, to within 0.4 mm there. `*off` is how many of them farther
 * right (a line that stands) or down (one that lies) than planned the line is. False: no line is seen there. */
bool calibration_line_find(const struct grey *picture, const struct plane *print, const struct layout_box *box, int dpi,
                           double *off);

#endif
