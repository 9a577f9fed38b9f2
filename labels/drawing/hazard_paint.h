#ifndef LABELS_DRAWING_HAZARD_PAINT_H
#define LABELS_DRAWING_HAZARD_PAINT_H

#include "labels/drawing/canvas.h"
#include "labels/drawing/hazard_layout.h"

/* Draws a hazard part: frames red on a page, black on a print head's dots. Inside this room. */
void hazard_paint(struct canvas *canvas, struct letters *letters, const struct hazard_layout *layout);

#endif
