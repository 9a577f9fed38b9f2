#ifndef LABELS_DRAWING_PICTOGRAM_H
#define LABELS_DRAWING_PICTOGRAM_H

#include <cairo.h>

/* The nine hazard pictograms: a black symbol on white in a square that stands on a corner. Drawn by us from what the
 * UN GHS and CLP Annex V say in words; which one a product gets is said by its SDS, never by us.
 *
 * `half` is half the diagonal of the diamond's outer edge, in the units of `cairo`: its side times 0.7071. */

enum { PICTOGRAM_KINDS = 9 };

/* Half the diagonal of the white inside a frame, in hundredths of `half`; every symbol stays inside it. */
enum { PICTOGRAM_FRAME_INSIDE = 90 };

/* The symbol alone, in black and white, centred on x, y. `number`: 1 exploding bomb (GHS01), 2 flame, 3 flame over
 * circle, 4 gas cylinder, 5 corrosion, 6 skull and crossbones, 7 exclamation mark, 8 health hazard, 9 environment. */
void pictogram_paint(cairo_t *cairo, int number, double x, double y, double half);
/* The frame alone: red where the surface has colours, black where it has none. */
void pictogram_paint_frame(cairo_t *cairo, double x, double y, double half);

#endif
