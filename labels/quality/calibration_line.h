#ifndef LABELS_QUALITY_CALIBRATION_LINE_H
#define LABELS_QUALITY_CALIBRATION_LINE_H

#include <stdbool.h>

#include "labels/picture/grey.h"
#include "labels/quality/plane.h"

/* Where one printed line of the calibration label came out, across itself. The middle of the line is looked for and not
 * its edge: ink that spreads, and a lens that blurs a line of one dot, move its two edges apart and its middle not. */

#define CALIBRATION_LINE_REACH 0.45 /* millimetres to either side that are looked at; ticks are 1 mm apart */

struct calibration_line {
    double start[2], end[2]; /* of its middle, millimetres of the plan: what of it is to be looked at */
    bool lies;               /* across; else it stands */
    double half;             /* of its thickness, millimetres */
};

/* `print` brings millimetres of the plan into the picture, to within 0.4 mm there. `*off` is how many of them farther
 * down (a line that lies) or right (one that stands) than planned the line is. False: no line is seen there. */
bool calibration_line_find(const struct grey *picture, const struct plane *print, const struct calibration_line *line,
                           double *off);

#endif
