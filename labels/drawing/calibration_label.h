#ifndef LABELS_DRAWING_CALIBRATION_LABEL_H
#define LABELS_DRAWING_CALIBRATION_LABEL_H

#include <stdbool.h>

#include "labels/drawing/label.h"

/* The calibration label (calibration_plan.h) in dots, at its own size for `dpi`. The caller clears `*dots`. Faults as
 * calibration_plan_make, and FAULT_STORAGE without memory; `*dots` untouched. */
bool calibration_label_draw(struct drawer *drawer, int width_um, int height_um, int dpi, struct dots *dots,
                            struct fault *fault);

#endif
