#include "labels/drawing/stamps.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/drawing/one_bit.h"
#include "labels/drawing/pictogram.h"

bool stamps_init(struct stamps *stamps, struct fault *fault)
{
    struct stamp *kept = calloc(STAMPS, sizeof *kept);
    if (!kept)
        return fault_set(fault, FAULT_STORAGE, "no memory for letters as dots");
    *stamps = (struct stamps){.kept = kept};
    return true;
}

static void forget(struct stamps *stamps, struct stamp *stamp)
{
    stamps->bytes -= (size_t)stamp->dots.height * stamp->dots.stride;
    if (stamp->font)
        g_object_unref((gpointer)stamp->font);
    dots_clear(&stamp->dots);
    *stamp = (struct stamp){.font = NULL};
}

void stamps_clear(struct stamps *stamps)
{
    for (size_t i = 0; stamps->kept && i < STAMPS; i++)
        forget(stamps, &stamps->kept[i]);
    free(stamps->kept);
    *stamps = (struct stamps){.kept = NULL};
}

/* ---- what cairo draws ---- */

static void paint_glyph(cairo_t *cairo, void *context)
{
    const struct stamp *stamp = context;
    const cairo_glyph_t glyph = {stamp->number, -stamp->left, -stamp->top};
    cairo_set_scaled_font(cairo, pango_cairo_font_get_scaled_font((PangoCairoFont *)stamp->font));
    cairo_show_glyphs(cairo, &glyph, 1);
}

static void paint_pictogram(cairo_t *cairo, void *context)
{
    const struct stamp *stamp = context;
    if (stamp->framed)
        pictogram_paint_frame(cairo, -stamp->left, -stamp->top, stamp->half);
    pictogram_paint(cairo, (int)stamp->number, -stamp->left, -stamp->top, stamp->half);
}

static bool draw(struct stamp *stamp, paint_function *paint, int width, int height)
{
    struct dots dots = {0};
    if (!dots_init(width, height, DOTS_DPI_MIN, &dots, NULL)) /* a stamp has no resolution of its own */
        return false;
    if (!one_bit_paint(paint, stamp, &dots, NULL)) {
        dots_clear(&dots);
        return false;
    }
    stamp->dots = dots;
    return true;
}

/* A space has no ink, and no dots. */
static bool draw_glyph(struct stamp *stamp)
{
    cairo_scaled_font_t *font = pango_cairo_font_get_scaled_font((PangoCairoFont *)stamp->font);
    const cairo_glyph_t glyph = {stamp->number, 0, 0};
    cairo_text_extents_t ink;
    cairo_scaled_font_glyph_extents(font, &glyph, 1, &ink);
    stamp->left = (int)floor(ink.x_bearing);
    stamp->top = (int)floor(ink.y_bearing);
    const int width = (int)ceil(ink.x_bearing + ink.width) - stamp->left;
    const int height = (int)ceil(ink.y_bearing + ink.height) - stamp->top;
    return width == 0 || height == 0 || draw(stamp, paint_glyph, width, height);
}

static bool draw_pictogram(struct stamp *stamp)
{
    const int side = 2 * stamp->half + 2; /* a dot to spare for an edge that is rounded outwards */
    stamp->left = stamp->top = -stamp->half - 1;
    return draw(stamp, paint_pictogram, side, side);
}

/* ---- what is kept ---- */

static struct stamp *place_of(const struct stamps *stamps, const struct stamp *wanted)
{
    uint64_t hash = (uint64_t)(uintptr_t)wanted->font ^ (uint64_t)wanted->number << 32 ^ (uint64_t)wanted->half;
    hash = (hash ^ wanted->framed) * 0x9E3779B97F4A7C15U; /* Fibonacci hashing: the upper bits are well mixed */
    return &stamps->kept[hash >> 32 & (STAMPS - 1)];
}

static bool is_same(const struct stamp *a, const struct stamp *b)
{
    return a->font == b->font && a->number == b->number && a->half == b->half && a->framed == b->framed;
}

static const struct stamp *keep(struct stamps *stamps, struct stamp *place, const struct stamp *drawn)
{
    const size_t bytes = (size_t)drawn->dots.height * drawn->dots.stride;
    forget(stamps, place);
    for (size_t i = 0; stamps->bytes + bytes > STAMPS_BYTES && i < STAMPS; i++)
        forget(stamps, &stamps->kept[i]);
    *place = *drawn;
    stamps->bytes += bytes;
    if (place->font)
        g_object_ref((gpointer)place->font); /* while it lives, no other font can have its address */
    return place;
}

const struct stamp *stamps_glyph(struct stamps *stamps, PangoFont *font, unsigned glyph)
{
    struct stamp wanted = {.font = font, .number = glyph};
    struct stamp *place = place_of(stamps, &wanted);
    if (is_same(place, &wanted))
        return place;
    return draw_glyph(&wanted) ? keep(stamps, place, &wanted) : NULL;
}

const struct stamp *stamps_pictogram(struct stamps *stamps, int number, bool framed, int half)
{
    struct stamp wanted = {.number = (unsigned)number, .half = half, .framed = framed};
    struct stamp *place = place_of(stamps, &wanted);
    if (is_same(place, &wanted))
        return place;
    return draw_pictogram(&wanted) ? keep(stamps, place, &wanted) : NULL;
}
