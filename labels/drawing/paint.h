#ifndef LABELS_DRAWING_PAINT_H
#define LABELS_DRAWING_PAINT_H

#include <cairo.h>

#include "labels/drawing/layout.h"
#include "labels/drawing/letters.h"

/* A layout onto a cairo surface whose unit is one dot (an image of dots, or a PDF scaled to them). On a surface that
 * holds only alpha, ink is opaque and paper is clear. Inside this room. */
void paint_layout(cairo_t *cairo, struct letters *letters, const struct layout *layout);

#endif
