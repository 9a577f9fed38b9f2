#ifndef LABELS_DRAWING_PAINT_H
#define LABELS_DRAWING_PAINT_H

#include <cairo.h>

#include "labels/drawing/dots.h"
#include "labels/drawing/layout.h"
#include "labels/drawing/letters.h"

/* A layout onto a cairo surface whose unit is one dot (an image of dots, or a PDF scaled to them). On a surface that
 * holds only alpha, ink is opaque and paper is clear. Inside this room. */
void paint_layout(cairo_t *cairo, struct letters *letters, const struct layout *layout);

/* A symbol's modules, its upper left corner at x, y; `module` dots each. In the source and operator that are set. */
void paint_matrix(cairo_t *cairo, const struct matrix *matrix, int x, int y, int module);

/* Paints onto a surface of one bit a dot and copies that into `dots` (dots_init's). FAULT_STORAGE: no memory. */
typedef void paint_function(cairo_t *cairo, void *context);
bool paint_dots(paint_function *paint, void *context, struct dots *dots, struct fault *fault);

#endif
