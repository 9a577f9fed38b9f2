#ifndef LABELS_DRAWING_INK_H
#define LABELS_DRAWING_INK_H

#include <cairo.h>

/* What is drawn with, the same on a print head's dots (an alpha surface: ink or none) and in a PDF (colours). Inside
 * this room. */

void ink_use_black(cairo_t *cairo);
/* White on black: an alpha surface has no white, so its ink is taken away; a PDF would turn that into a picture. */
void ink_use_paper(cairo_t *cairo);
/* Red of a hazard pictogram's frame; black on an alpha surface. */
void ink_use_red(cairo_t *cairo);

#endif
