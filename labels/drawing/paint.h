#ifndef LABELS_DRAWING_PAINT_H
#define LABELS_DRAWING_PAINT_H

#include "labels/drawing/canvas.h"
#include "labels/drawing/layout.h"
#include "labels/drawing/letters.h"

/* A layout onto dots or onto a page whose unit is one dot. Inside this room. */
void paint_layout(struct canvas *canvas, struct letters *letters, const struct layout *layout);

/* A symbol's modules, its upper left corner at x, y; `module` dots each. In the canvas's present colour. */
void paint_matrix(struct canvas *canvas, const struct matrix *matrix, int x, int y, int module);

#endif
