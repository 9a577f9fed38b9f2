#ifndef LABELS_DRAWING_HAZARD_PAINT_H
#define LABELS_DRAWING_HAZARD_PAINT_H

#include <cairo.h>

#include "labels/drawing/hazard_layout.h"

/* Draws a hazard part: frames red where the surface has colours, black on a print head's dots. Inside this room. */
void hazard_paint(cairo_t *cairo, struct letters *letters, const struct hazard_layout *layout);

#endif
