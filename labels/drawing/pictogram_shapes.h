#ifndef LABELS_DRAWING_PICTOGRAM_SHAPES_H
#define LABELS_DRAWING_PICTOGRAM_SHAPES_H

#include "labels/drawing/pictogram.h"

/* The symbols as paths, drawn one over the other. Units: hundredths of half the diamond's diagonal, from its centre,
 * y downwards. A path is of the steps "M x y" move, "L x y" line, "C x y x y x y" curve, "O x y r" circle, "Z" close.
 * A path that begins with 'w' is white. NULL ends a symbol. Inside this room. */

enum { PICTOGRAM_PATHS = 24 };

extern const char *const pictogram_shapes[PICTOGRAM_KINDS][PICTOGRAM_PATHS];

#endif
