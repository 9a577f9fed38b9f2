#ifndef LABELS_DRAWING_LETTERS_H
#define LABELS_DRAWING_LETTERS_H

#include <stdbool.h>
#include <stddef.h>

#include <pango/pangocairo.h>

#include "labels/basics/fault.h"

/* One line of text in whole dots, by Pango: family "Noto Sans" (other scripts from the Noto fonts beside it), no grey
 * edges, hinted to the dot grid, so that a 203 dpi head prints what was measured. The line runs left to right; Hebrew
 * and Arabic in it run their own way.
 * Not for two threads at once. Inside this room. */

/* Capital height of Noto Sans: 714 of 1000 units (its OS/2 table, sCapHeight). */
enum { LETTERS_CAPITAL_OF_EM = 714 };

/* In dots. Ink lies relative to the start of the baseline: y grows downwards, so `top` is negative above it. */
struct letters_extent {
    int width;                    /* advance: how far the next letter would start */
    int left, right, top, bottom; /* ink: from `left` up to, not including, `right`; the same for top and bottom */
};

enum { LETTERS_KEPT = 1024, LETTERS_KEPT_TEXT = 160 };

/* A text that was set: setting it again at the same height costs nothing. Each is set twice at least, to lay it out and
 * to paint it, and the words of a hazard part stand on every label of a delivery. */
struct letters_kept {
    PangoLayout *layout; /* NULL: the place is free */
    char text[LETTERS_KEPT_TEXT];
    int height;
    bool bold;
    struct letters_extent extent;
};

struct letters {
    PangoFontMap *map;
    PangoContext *context;
    struct letters_kept *kept; /* LETTERS_KEPT by their hash, and one for texts that are too long to keep */
    PangoLayout *set;          /* one of theirs */
};

/* False: FAULT_MISSING when the fonts are not installed, FAULT_STORAGE without memory. */
bool letters_init(struct letters *letters, struct fault *fault);
void letters_clear(struct letters *letters); /* accepts a zeroed one, and twice */

/* Sets the text (UTF-8, no line breaks) with capitals `height` dots high, and measures it. */
void letters_set(struct letters *letters, const char *text, int height, bool bold, struct letters_extent *extent);

/* The leftmost code point of the text set that no installed font has in black; 0 when there is none. */
unsigned letters_missing(const struct letters *letters);

/* Each glyph with ink of the text set, from left to right, and where it stands, in whole dots from the start of the
 * baseline. The font is borrowed. */
typedef void letters_visitor(void *context, PangoFont *font, unsigned glyph, int x, int y);
void letters_visit(const struct letters *letters, letters_visitor *visit, void *context);

/* Draws the text set with its baseline starting at x, y, in cairo's present source and operator. */
void letters_show(const struct letters *letters, cairo_t *cairo, int x, int y);

#endif
