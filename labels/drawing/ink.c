#include "labels/drawing/ink.h"

#include <stdbool.h>

static bool is_alpha(cairo_t *cairo)
{
    return cairo_surface_get_content(cairo_get_target(cairo)) == CAIRO_CONTENT_ALPHA;
}

void ink_use_black(cairo_t *cairo)
{
    cairo_set_operator(cairo, CAIRO_OPERATOR_OVER);
    cairo_set_source_rgb(cairo, 0, 0, 0);
}

void ink_use_paper(cairo_t *cairo)
{
    if (is_alpha(cairo))
        cairo_set_operator(cairo, CAIRO_OPERATOR_DEST_OUT);
    else
        cairo_set_source_rgb(cairo, 1, 1, 1);
}

void ink_use_red(cairo_t *cairo)
{
    cairo_set_operator(cairo, CAIRO_OPERATOR_OVER);
    if (is_alpha(cairo))
        cairo_set_source_rgb(cairo, 0, 0, 0);
    else
        cairo_set_source_rgb(cairo, 0.84, 0, 0); /* a signal red that stays dark enough to be seen on yellowed paper */
}
