#ifndef LABELS_READING_MASK_H
#define LABELS_READING_MASK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/grey.h"

/* A picture told apart into ink and ground. The threshold is half-way between the darkest and the lightest pixel of
 * 3 x 3 tiles around, blended from tile to tile; where they hardly differ, all is ground. */

enum { MASK_GROUND = 0, MASK_INK = 1, MASK_SEEN = 2 /* set by the outline follower */ };

struct mask {
    uint8_t *cells; /* with a frame of ground, one cell wide, all around */
    int width, height;
    size_t stride; /* width + 2 */
};

enum { MASK_TILE = 16 }; /* pixels: 3 tiles hold 6 to 12 modules of the usual 4 to 8 pixels */

/* Bytes that mask_make needs for cells and for its tiles. */
size_t mask_cells_size(int width, int height);
size_t mask_tiles_size(int width, int height);

/* light_ink: light symbols on dark. `cells` and `memory` (for the tiles) are the caller's, of the sizes above. */
struct mask mask_make(const struct grey *picture, bool light_ink, uint8_t *cells, uint8_t *memory);

/* Ink at a pixel; outside is ground. */
bool mask_at(const struct mask *mask, double x, double y);

#endif
