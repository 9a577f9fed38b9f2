#ifndef LABELS_DRAWING_PICTOGRAM_H
#define LABELS_DRAWING_PICTOGRAM_H

#include <stdbool.h>

#include <cairo.h>

#include "labels/basics/text.h"

/* The nine hazard pictograms: a black symbol on white in a square that stands on a corner. Drawn by us from what the
 * UN GHS and CLP Annex V say in words; which one a product gets is said by its SDS, never by us.
 *
 * `half` is half the diagonal of the diamond's outer edge, in the units of `cairo`: its side times 0.7071. */

enum pictogram {
    PICTOGRAM_GHS01, /* exploding bomb */
    PICTOGRAM_GHS02, /* flame */
    PICTOGRAM_GHS03, /* flame over circle */
    PICTOGRAM_GHS04, /* gas cylinder */
    PICTOGRAM_GHS05, /* corrosion */
    PICTOGRAM_GHS06, /* skull and crossbones */
    PICTOGRAM_GHS07, /* exclamation mark */
    PICTOGRAM_GHS08, /* health hazard */
    PICTOGRAM_GHS09, /* environment */
    PICTOGRAM_COUNT
};

/* Half the diagonal of the white inside a frame, in hundredths of `half`; every symbol stays inside it. */
enum { PICTOGRAM_FRAME_INSIDE = 90 };

const char *pictogram_code(enum pictogram pictogram); /* "GHS01" */
const char *pictogram_word(enum pictogram pictogram); /* "exploding bomb" */
/* False when `code` is none of GHS01 to GHS09. */
bool pictogram_find(struct span code, enum pictogram *pictogram);

/* The symbol alone, in black and white, centred on x, y. */
void pictogram_paint(cairo_t *cairo, enum pictogram pictogram, double x, double y, double half);
/* The frame alone: red where the surface has colours, black where it has none. */
void pictogram_paint_frame(cairo_t *cairo, double x, double y, double half);

#endif
