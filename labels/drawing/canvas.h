#ifndef LABELS_DRAWING_CANVAS_H
#define LABELS_DRAWING_CANVAS_H

#include <stdbool.h>

#include <cairo.h>

#include "labels/drawing/dots.h"
#include "labels/drawing/layout_box.h"
#include "labels/drawing/letters.h"
#include "labels/drawing/stamps.h"

/* What a label is painted on: a print head's dots, put there bit by bit, or a page of cairo's whose unit is one dot (a
 * PDF). Both show the same, for everything stands on whole dots. Inside this room. */

struct canvas {
    struct dots *dots;     /* NULL: */
    cairo_t *cairo;        /* … the page */
    struct stamps *stamps; /* for the dots; a page takes none */
    bool paper;            /* white is painted, over black */
    bool failed;           /* dots: there was no memory for a stamp */
};

/* Black, or the paper's white, for what follows. A canvas begins with black. */
void canvas_use(struct canvas *canvas, bool paper);

/* Boxes are painted by canvas_fill, all of them at once: viewers of a PDF then show no seams between them. */
void canvas_add(struct canvas *canvas, const struct layout_box *box);
void canvas_fill(struct canvas *canvas);

/* The text that `letters` has set, its baseline starting at x, y. */
void canvas_letters(struct canvas *canvas, const struct letters *letters, int x, int y);

/* A pictogram centred on x, y (pictogram.h), with its frame: red on a page. */
void canvas_pictogram(struct canvas *canvas, int number, bool framed, int x, int y, int half);

#endif
