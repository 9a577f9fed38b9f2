#ifndef LABELS_DRAWING_ONE_BIT_H
#define LABELS_DRAWING_ONE_BIT_H

#include <stdbool.h>

#include <cairo.h>

#include "labels/drawing/dots.h"

/* What cairo draws, as a print head's dots: no grey edges, ink or none. Inside this room. */

/* Paints in black onto a surface of one bit a dot, and copies that into `dots` (dots_init's). FAULT_STORAGE: no memory.
 */
typedef void paint_function(cairo_t *cairo, void *context);
bool one_bit_paint(paint_function *paint, void *context, struct dots *dots, struct fault *fault);

#endif
