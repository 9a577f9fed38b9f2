#ifndef LABELS_DRAWING_STAMPS_H
#define LABELS_DRAWING_STAMPS_H

#include <stdbool.h>
#include <stddef.h>

#include <pango/pangocairo.h>

#include "labels/drawing/dots.h"

/* Glyphs and pictograms as dots, kept: cairo draws each once a size, and a label only puts them where they stand. All
 * stand on whole dots, so that a stamp is the same wherever it goes.
 *
 * No more than STAMPS_BYTES of dots besides the stamp in hand, and STAMPS stamps; what is over makes room for what is
 * new. Not for two threads at once. Inside this room. */

enum { STAMPS = 1024, STAMPS_BYTES = 2 << 20 };

struct stamp {
    const void *font; /* owned, a PangoFont; NULL: a pictogram */
    unsigned number;  /* glyph, or 1 for GHS01 to 9 */
    int half;         /* pictogram: half its diagonal; glyph: 0 */
    bool framed;      /* pictogram: with its frame */
    int left, top;    /* of the dots' corner from the glyph's or pictogram's own place */
    struct dots dots; /* rows NULL: nothing to see */
};

struct stamps {
    struct stamp *kept; /* STAMPS, by their hash */
    size_t bytes;
};

/* FAULT_STORAGE: no memory. */
bool stamps_init(struct stamps *stamps, struct fault *fault);
void stamps_clear(struct stamps *stamps); /* accepts a zeroed one, and twice */

/* Borrowed until the next call; NULL: no memory. */
const struct stamp *stamps_glyph(struct stamps *stamps, PangoFont *font, unsigned glyph);
/* Centred on its place; `half` in dots. */
const struct stamp *stamps_pictogram(struct stamps *stamps, int number, bool framed, int half);

#endif
