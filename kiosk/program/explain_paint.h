#ifndef KIOSK_PROGRAM_EXPLAIN_PAINT_H
#define KIOSK_PROGRAM_EXPLAIN_PAINT_H

#include <stdbool.h>

#include <cairo.h>

#include "labels/basics/fault.h"
#include "labels/reading/explain.h"

/* Pictures for `ambershelf read --explain`: a grey picture or a mask as paper, lines drawn over it, a PNG at the end.
 * Small pictures are enlarged by whole pixels, pictures over PAINT_SIDE made smaller. Places are pixels of the picture
 * on the paper, their centres at whole coordinates. */

enum { PAINT_SIDE = 3000 /* longest side drawn */ };

struct paint { /* zeroed: nothing there, all calls do nothing */
    cairo_surface_t *surface;
    cairo_t *cairo;
    double scale; /* drawn pixels a pixel */
};

enum paint_colour { PAINT_GREEN, PAINT_RED, PAINT_BLUE, PAINT_ORANGE, PAINT_VIOLET, PAINT_PALE_BLUE, PAINT_DARK_BLUE };

/* False: no memory, and `*paint` is zeroed. `faded`: lighter than it is, so that what is drawn over it stands out. */
bool paint_init_grey(struct paint *paint, const struct grey *picture, bool faded);
bool paint_init_mask(struct paint *paint, const struct mask *mask, bool faded);
/* The limits of the mask's tiles as grey; tiles that are even are blue, dark or pale. */
bool paint_init_limits(struct paint *paint, const struct mask *mask, const uint8_t *limits);
/* Left: the part of the picture around the symbol, with the lines between the modules. Right: each module's mean grey,
 * in it what it was taken for, and a red frame where the finder is not as it should be. */
bool paint_init_grid(struct paint *paint, const struct grey *picture, const struct explain_grid *seen);
void paint_clear(struct paint *paint);

void paint_dot(struct paint *paint, double x, double y, enum paint_colour colour);
void paint_line(struct paint *paint, const double from[2], const double to[2], enum paint_colour colour);
void paint_quad(struct paint *paint, const double corners[4][2], enum paint_colour colour);
void paint_number(struct paint *paint, const double at[2], size_t number, enum paint_colour colour);

/* False: FAULT_STORAGE with the path and the reason. */
bool paint_write(const struct paint *paint, const char *path, struct fault *fault);

#endif
