#ifndef TESTS_QUALITY_PHOTOGRAPH_H
#define TESTS_QUALITY_PHOTOGRAPH_H

#include "labels/basics/fault.h"
#include "labels/drawing/label.h"
#include "labels/quality/calibration_measure.h"
#include "tests/pictures/printed_label.h"

/* The calibration label itself, printed by a printer with faults, cut, laid on the ground and photographed. */

struct photograph {
    int width_um, height_um, dpi;
    struct printed_label print; /* its dots are filled in, and its size where it is 0: as wanted */
    struct printed_shot shot;
    bool two; /* a second label to the right of it, 3 mm apart */
};

/* A label of 50 x 25 mm on black cloth, 203 dpi, no fault, camera nearly square to it. */
struct photograph photograph_usual(void);

/* Draws, prints, photographs, reads and measures; fails the test where that cannot be done. As
 * calibration_measure_make. */
bool photograph_measure(struct drawer *drawer, const struct photograph *wanted, struct calibration_measure *measured,
                        struct fault *fault);

#endif
