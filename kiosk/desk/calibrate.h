#ifndef KIOSK_DESK_CALIBRATE_H
#define KIOSK_DESK_CALIBRATE_H

#include "kiosk/desk/turn.h"

/* A label printer's calibration: what somebody measured on its calibration label (docs/calibration.md) -> by how many
 * dots every label is moved, how far apart its dots really are, both ways (drawn for by labels/drawing/pitch.h; no
 * raster is scaled), and the smallest module it is given. A storekeeper's. */

bool calibrate_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "calibrate" */

#endif
