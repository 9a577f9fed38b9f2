#ifndef LABELS_DRAWING_REACH_H
#define LABELS_DRAWING_REACH_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/drawing/layout.h"

/* From how far a unit's serial can be read. An eye of usual sharpness wants capitals of 1/200 of the distance, 17
 * minutes of arc; ISO 9241-303 has 16 as the least (that figure from memory). An arm reaches 70 cm (common practice, no
 * source), so a serial should have 3.5 mm. Small stock has no room for that: such a label is drawn, and this tells. */

enum { REACH_ARM_UM = 700000, REACH_LETTERS_UM = REACH_ARM_UM / 200 };

/* True when every serial beside a unit's symbol is readable at arm's length, or the label has none. False: `*note` is
 * FAULT_INPUT with the template's line, the height and the distance. */
bool reach_check(const struct layout *layout, struct fault *note);

#endif
