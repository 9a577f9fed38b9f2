#include "labels/drawing/letters.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <hb-ot.h>
#include <pango/pangofc-fontmap.h>

#include "labels/basics/text.h"

static const char family[] = "Noto Sans";

/* What is asked for: the scripts that Noto Sans leaves to its sisters come from upright, plain ones. Fontconfig alone
 * might take a serif face for Han, or a cursive for Hebrew that few can read. A family not installed is passed over. */
static const char families[] = "Noto Sans,Noto Sans CJK JP,Noto Sans Hebrew,Noto Sans Arabic";

static cairo_font_options_t *hard_edges(void)
{
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_NONE);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_FULL);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_ON);
    return options;
}

/* A font in colours comes last, for a head that knows black only. */
static void prefer_black(FcPattern *pattern, gpointer nothing)
{
    (void)nothing;
    FcPatternDel(pattern, FC_COLOR);
    FcPatternAddBool(pattern, FC_COLOR, FcFalse);
}

/* Fontconfig gives another family when ours is not there, and every measure would be off. */
static bool family_is_there(PangoContext *context)
{
    PangoFontDescription *wanted = pango_font_description_new();
    pango_font_description_set_family_static(wanted, family);
    pango_font_description_set_absolute_size(wanted, 20 * PANGO_SCALE);
    PangoFont *font = pango_context_load_font(context, wanted);
    PangoFontDescription *got = font ? pango_font_describe(font) : NULL;
    const bool same = got && strcmp(pango_font_description_get_family(got), family) == 0;
    pango_font_description_free(got);
    if (font)
        g_object_unref(font);
    pango_font_description_free(wanted);
    return same;
}

bool letters_init(struct letters *letters, struct fault *fault)
{
    struct letters made = {.map = pango_cairo_font_map_new()};
    if (!made.map)
        return fault_set(fault, FAULT_STORAGE, "no memory for fonts");
    pango_fc_font_map_set_default_substitute(PANGO_FC_FONT_MAP(made.map), prefer_black, NULL, NULL);
    made.context = pango_font_map_create_context(made.map);
    cairo_font_options_t *options = hard_edges();
    pango_cairo_context_set_font_options(made.context, options);
    cairo_font_options_destroy(options);
    pango_context_set_language(made.context, pango_language_from_string("en")); /* not the locale's choice of fonts */
    pango_context_set_base_dir(made.context, PANGO_DIRECTION_LTR);
    if (!family_is_there(made.context)) {
        letters_clear(&made);
        return fault_set(fault, FAULT_MISSING, "the font '%s' is not installed: install the package fonts-noto-core",
                         family);
    }
    made.kept = calloc(LETTERS_KEPT + 1, sizeof *made.kept);
    if (!made.kept) {
        letters_clear(&made);
        return fault_set(fault, FAULT_STORAGE, "no memory for letters");
    }
    *letters = made;
    return true;
}

void letters_clear(struct letters *letters)
{
    for (size_t i = 0; letters->kept && i <= LETTERS_KEPT; i++)
        if (letters->kept[i].layout)
            g_object_unref(letters->kept[i].layout);
    free(letters->kept);
    if (letters->context)
        g_object_unref(letters->context);
    if (letters->map)
        g_object_unref(letters->map);
    *letters = (struct letters){0};
}

/* ---- one text ---- */

/* FNV-1a, whose low bits do for so few places. */
static size_t place_of(const char *text, int height, bool bold)
{
    uint32_t hash = 0x811C9DC5U ^ (uint32_t)height ^ (bold ? 0x80000000U : 0);
    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 0x01000193U;
    return (hash ^ hash >> 16) % LETTERS_KEPT;
}

static PangoLayout *new_layout(const struct letters *letters)
{
    PangoLayout *layout = pango_layout_new(letters->context);
    pango_layout_set_auto_dir(layout, FALSE);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    return layout;
}

static void shape(struct letters_kept *kept, const char *text, int height, bool bold)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, families);
    pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, height * 1000.0 / LETTERS_CAPITAL_OF_EM * PANGO_SCALE);
    pango_layout_set_font_description(kept->layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(kept->layout, text, -1);

    PangoRectangle ink, logical;
    pango_layout_line_get_pixel_extents(pango_layout_get_line_readonly(kept->layout, 0), &ink, &logical);
    kept->extent = (struct letters_extent){logical.width, ink.x, ink.x + ink.width, ink.y, ink.y + ink.height};
    kept->height = height;
    kept->bold = bold;
}

void letters_set(struct letters *letters, const char *text, int height, bool bold, struct letters_extent *extent)
{
    const bool fits = strlen(text) < LETTERS_KEPT_TEXT;
    struct letters_kept *kept = &letters->kept[fits ? place_of(text, height, bold) : LETTERS_KEPT];
    const bool known =
        fits && kept->layout && kept->height == height && kept->bold == bold && strcmp(kept->text, text) == 0;
    if (!known) {
        if (!kept->layout)
            kept->layout = new_layout(letters);
        shape(kept, text, height, bold);
        (void)span_copy(span_of(fits ? text : ""), kept->text, sizeof kept->text);
    }
    letters->set = kept->layout;
    *extent = kept->extent;
}

/* A font in colours, as those of emoji are, leaves a blot on a head that knows black only. */
static bool is_in_colours(PangoFont *font)
{
    hb_font_t *shaper = pango_font_get_hb_font(font);
    hb_face_t *face = shaper ? hb_font_get_face(shaper) : NULL;
    return face && (hb_ot_color_has_png(face) || hb_ot_color_has_layers(face) || hb_ot_color_has_svg(face));
}

static unsigned missing_in(const PangoGlyphItem *run, const char *text)
{
    for (int i = 0; i < run->glyphs->num_glyphs; i++) {
        const PangoGlyph glyph = run->glyphs->glyphs[i].glyph;
        if (glyph & PANGO_GLYPH_UNKNOWN_FLAG && glyph != PANGO_GLYPH_EMPTY)
            return glyph & ~(unsigned)PANGO_GLYPH_UNKNOWN_FLAG;
    }
    return is_in_colours(run->item->analysis.font) ? g_utf8_get_char(text + run->item->offset) : 0;
}

unsigned letters_missing(const struct letters *letters)
{
    const char *text = pango_layout_get_text(letters->set);
    const PangoLayoutLine *line = pango_layout_get_line_readonly(letters->set, 0);
    for (const GSList *run = line->runs; run; run = run->next) {
        const unsigned missing = missing_in(run->data, text);
        if (missing)
            return missing;
    }
    return 0;
}

static int whole_dots(int pango_units)
{
    return PANGO_PIXELS(pango_units); /* to the nearest, as cairo sets a glyph without grey edges */
}

/* Returns how far the run goes. */
static int visit_run(const PangoGlyphItem *run, int start, letters_visitor *visit, void *context)
{
    int x = start;
    for (int i = 0; i < run->glyphs->num_glyphs; i++) {
        const PangoGlyphInfo *info = &run->glyphs->glyphs[i];
        if (info->glyph != PANGO_GLYPH_EMPTY)
            visit(context, run->item->analysis.font, info->glyph, whole_dots(x + info->geometry.x_offset),
                  whole_dots(info->geometry.y_offset - run->y_offset)); /* the run: Latin among Han is lifted */
        x += info->geometry.width;
    }
    return x;
}

void letters_visit(const struct letters *letters, letters_visitor *visit, void *context)
{
    int x = 0;
    for (const GSList *run = pango_layout_get_line_readonly(letters->set, 0)->runs; run; run = run->next)
        x = visit_run(run->data, x, visit, context);
}

void letters_show(const struct letters *letters, cairo_t *cairo, int x, int y)
{
    cairo_move_to(cairo, x, y);
    pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(letters->set, 0));
}
