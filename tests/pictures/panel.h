#ifndef TESTS_PICTURES_PANEL_H
#define TESTS_PICTURES_PANEL_H

#include <stdbool.h>
#include <stdint.h>

#include "tests/reading/zint_modules.h"

/* Something flat that a camera looks at: a label, a sheet, the front of a shelf. A raster of texels, PANEL_TEXELS to a
 * module of its symbols, so that modules and letters have sharp edges whatever size they are seen in. */

enum { PANEL_TEXELS = 8 };

struct panel {
    uint8_t *texels; /* owned; width * height grey values, row 0 on top */
    int width, height;
};

bool panel_create(struct panel *panel, int width, int height, int grey);
void panel_clear(struct panel *panel); /* accepts a zeroed one, and twice */

void panel_box(struct panel *panel, int x, int y, int width, int height, int grey);
/* A line of capitals, digits, hyphens and spaces, a letter `height` texels high and 5/7 as wide; what does not fit on
 * the panel is left out. The shapes are ours. Returns where the next letter would stand. */
int panel_letters(struct panel *panel, int x, int y, int height, const char *words, int grey);
/* A symbol's modules, its upper left corner at (x, y); light modules get `light`. */
void panel_symbol(struct panel *panel, int x, int y, const struct zint_modules *symbol, int dark, int light);
void panel_mirror(struct panel *panel); /* as seen from behind */

struct panel_label {
    int dark, light;     /* grey of ink and paper; the other way round: an inverted label */
    int quiet;           /* modules of paper around the symbol */
    bool bare;           /* no lines of letters */
    const char *line[4]; /* serial, resin, date, lot: as on labels/drawing/templates/vat-case.label */
};

/* A label of the shop's layout: symbol on the left, three lines beside it, the lot below; an oblong symbol has its
 * lines below. The symbol's upper left corner in texels is given back. */
bool panel_create_label(struct panel *panel, const struct panel_label *label, const struct zint_modules *symbol,
                        int *symbol_x, int *symbol_y);

#endif
