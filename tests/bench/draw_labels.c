#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <pango/pangocairo.h>
#include <zint.h>

#include "labels/content/unit_label.h"
#include "labels/drawing/label.h"
#include "labels/drawing/pictogram.h"
#include "labels/drawing/symbol_content.h"

/* bench_draw_labels TEMPLATES NAME DPI ROUNDS   what drawing one label costs: one line of JSON, CPU of this process
 *
 * Each label has another serial and another day, as a delivery's have. Beside ours the same label by the shortest
 * program that the same libraries allow: zint's own bitmap of the symbol, scaled onto a cairo A1 image, and each line
 * of text by a new Pango layout at the size that ours found; no template, no fitting, no check. Both draw into dots at
 * one bit each. "fits" counts nothing of ours away: it is drawing, layout, symbol and copy. */

enum { LABELS = 50, ROUNDS_MAX = 101, FIELDS = 24 };

struct values {
    char serial[SERIAL_SIZE], expires[16];
    struct label_field fields[FIELDS];
    size_t count;
};

static double cpu_us(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e6 + (double)now.tv_nsec / 1e3;
}

static bool is_kind(const struct template *template, const char *kind)
{
    return strncmp(template->name, kind, strlen(kind)) == 0;
}

/* H is for badges; waste has no lot, no expiry and no content of its own. */
static void fill(const struct template *template, long number, struct values *values)
{
    while (!serial_write(is_kind(template, "person") ? 'H' : 'V', number, values->serial))
        number += 1000;
    snprintf(values->expires, sizeof values->expires, "2027-%02ld-%02ld", number % 12 + 1, number % 28 + 1);
    const struct label_field all[] = {{"serial", values->serial},
                                      {"item", "FLINT-2"},
                                      {"item-name", "Flint grey, revision 2"},
                                      {"resin", "Flint rev 2"},
                                      {"filled", "2026-02-14"},
                                      {"place", "A03-12"},
                                      {"person", "Mairi"},
                                      {"card", "FILM-LEAKING"},
                                      {"note", "second shelf, left"},
                                      {"product", "Flint resin"},
                                      {"signal-word", "Warning"},
                                      {"pictograms", "GHS07 GHS09"},
                                      {"statements",
                                       "H317 May cause an allergic skin reaction.|H319 Causes serious eye irritation."
                                       "|H411 Toxic to aquatic life with long lasting effects."},
                                      {"precautions", "P280 Wear protective gloves and eye protection."},
                                      {"sds", "SDS of 2026-01-10: binder 3"},
                                      {"capacity", "1000"},
                                      {"supplier", "Kestrel Quay Resins"},
                                      {"supplier-address", "2 Harbour Row, Kestrel Quay"},
                                      {"supplier-phone", "+00 555 0100"},
                                      {"quantity", "1 l"},
                                      {"ufi", "N1QV-R02N-J00M-WQD5"},
                                      {"lot", "RS24117B"},
                                      {"content", "1000"},
                                      {"expires", values->expires}};
    _Static_assert(sizeof all / sizeof *all <= FIELDS, "room for all");
    values->count = sizeof all / sizeof *all - (is_kind(template, "waste") ? 3 : 0);
    memcpy(values->fields, all, values->count * sizeof *all);
}

static void stop(const char *text)
{
    fprintf(stderr, "bench_draw_labels: %s\n", text);
    exit(1);
}

static double draw_ours(struct drawer *drawer, const struct template *template, int dpi, long first)
{
    const double start = cpu_us();
    for (long i = 0; i < LABELS; i++) {
        struct values values;
        struct dots dots = {0};
        struct fault fault = {0};
        fill(template, first + i, &values);
        if (!label_draw(drawer, template, values.fields, values.count, dpi, &dots, &fault))
            stop(fault.text);
        dots_clear(&dots);
    }
    return (cpu_us() - start) / LABELS;
}

/* --- the peer --- */

struct peer {
    PangoContext *context;
    const struct layout *layout; /* where ours put things */
    char content[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    const struct template *template;
};

struct peer_line {
    struct span text;
    bool bold;
    int x, baseline, letters;
};

static void peer_symbol(const struct peer *peer, cairo_t *cairo, const struct layout_box *ink, int modules)
{
    struct zint_symbol *symbol = ZBarcode_Create();
    symbol->symbology = BARCODE_DATAMATRIX;
    symbol->option_3 = DM_SQUARE;
    symbol->input_mode = DATA_MODE;
    symbol->scale = 0.5F; /* one pixel a module */
    if (ZBarcode_Encode_and_Buffer(symbol, (const unsigned char *)peer->content, (int)peer->length, 0) >= ZINT_ERROR)
        stop(symbol->errtxt);
    const double side = (double)ink->width / modules;
    for (int y = 0; y < symbol->bitmap_height; y++)
        for (int x = 0; x < symbol->bitmap_width; x++)
            if (symbol->bitmap[3 * (y * symbol->bitmap_width + x)] == 0)
                cairo_rectangle(cairo, ink->x + x * side, ink->y + y * side, side, side);
    cairo_fill(cairo);
    ZBarcode_Delete(symbol);
}

static void peer_text(const struct peer *peer, cairo_t *cairo, const struct peer_line *line)
{
    PangoLayout *layout = pango_layout_new(peer->context);
    PangoFontDescription *font = pango_font_description_from_string(line->bold ? "Noto Sans Bold" : "Noto Sans");
    pango_font_description_set_absolute_size(font, line->letters / 0.714 * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_text(layout, line->text.at, (int)line->text.length);
    cairo_move_to(cairo, line->x, line->baseline);
    pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(layout, 0));
    pango_font_description_free(font);
    g_object_unref(layout);
}

/* Pictograms are ours in any program: nothing draws them but their paths. */
static void peer_hazard(const struct peer *peer, cairo_t *cairo, const struct hazard_layout *hazard)
{
    for (size_t i = 0; i < hazard->mark_count; i++) {
        const struct hazard_mark *mark = &hazard->marks[i];
        if (hazard->frames)
            pictogram_paint_frame(cairo, mark->x, mark->y, hazard->half);
        pictogram_paint(cairo, mark->pictogram, mark->x, mark->y, hazard->half);
    }
    for (size_t i = 0; i < hazard->line_count; i++) {
        const struct hazard_line *line = &hazard->lines[i];
        peer_text(peer, cairo, &(struct peer_line){line->text, line->bold, line->x, line->baseline, hazard->letters});
    }
}

static void peer_box(cairo_t *cairo, const struct layout_piece *piece)
{
    const struct layout_box *box = &piece->room;
    const double half = piece->thick / 2.0;
    if (piece->element->kind == TEMPLATE_FRAME) {
        cairo_set_line_width(cairo, piece->thick);
        cairo_rectangle(cairo, box->x + half, box->y + half, box->width - 2 * half, box->height - 2 * half);
        cairo_stroke(cairo);
    } else {
        cairo_rectangle(cairo, box->x, box->y, box->width, box->height);
        cairo_fill(cairo);
    }
}

static void peer_piece(struct peer *peer, cairo_t *cairo, const struct layout_piece *piece,
                       const struct label_values *values)
{
    const struct template_element *element = piece->element;
    const bool serial = strcmp(element->value, "{serial}") == 0; /* another one on each label */
    switch (element->kind) {
    case TEMPLATE_TEXT:
        peer_text(peer, cairo,
                  &(struct peer_line){span_of(serial ? values->at[LABEL_FIELD_SERIAL] : piece->text), element->bold,
                                      piece->baseline_x, piece->baseline_y, piece->letters});
        break;
    case TEMPLATE_SYMBOL:
        if (!symbol_content_write(element->symbol, piece->text, values, peer->content, &peer->length, NULL))
            stop("no content");
        peer_symbol(peer, cairo, &piece->ink, piece->matrix->columns);
        break;
    case TEMPLATE_HAZARD:
        peer_hazard(peer, cairo, piece->hazard);
        break;
    case TEMPLATE_LINE_ELEMENT:
    case TEMPLATE_FRAME:
        peer_box(cairo, piece);
        break;
    }
}

static double draw_peer(struct peer *peer, long first)
{
    const double start = cpu_us();
    for (long i = 0; i < LABELS; i++) {
        struct values values;
        struct label_values sorted;
        fill(peer->template, first + i, &values);
        label_field_read(values.fields, values.count, &sorted, NULL);
        cairo_surface_t *surface =
            cairo_image_surface_create(CAIRO_FORMAT_A1, peer->layout->width, peer->layout->height);
        cairo_t *cairo = cairo_create(surface);
        cairo_set_antialias(cairo, CAIRO_ANTIALIAS_NONE);
        for (size_t p = 0; p < peer->layout->piece_count; p++)
            peer_piece(peer, cairo, &peer->layout->pieces[p], &sorted);
        cairo_surface_flush(surface);
        cairo_destroy(cairo);
        cairo_surface_destroy(surface);
    }
    return (cpu_us() - start) / LABELS;
}

static PangoContext *peer_context(void)
{
    PangoContext *context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_NONE);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_FULL);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_ON);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    return context;
}

static int compare(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static double median(double *values, int count)
{
    qsort(values, (size_t)count, sizeof *values, compare);
    return values[count / 2];
}

int main(int argc, char **argv)
{
    static struct template template;
    struct fault fault = {0};
    struct values values;
    struct dots dots = {0};
    double ours[ROUNDS_MAX], theirs[ROUNDS_MAX], ratio[ROUNDS_MAX];
    if (argc != 5)
        stop("say TEMPLATES NAME DPI ROUNDS");
    const int dpi = (int)strtol(argv[3], NULL, 10), rounds = (int)strtol(argv[4], NULL, 10);
    if (rounds < 1 || rounds > ROUNDS_MAX || !template_load(argv[1], argv[2], &template, &fault))
        stop(fault.text[0] ? fault.text : "rounds are 1 to 101");
    const double start = cpu_us();
    struct drawer *drawer = drawer_create(&fault), *still = drawer_create(&fault);
    fill(&template, 1, &values);
    if (!drawer || !still || !label_draw(drawer, &template, values.fields, values.count, dpi, &dots, &fault))
        stop(fault.text);
    dots_clear(&dots);
    const double first = cpu_us() - start;
    struct peer peer = {.template = &template,
                        .context = peer_context(), /* the still drawer keeps the layout while the other draws */
                        .layout = label_layout(still, &template, values.fields, values.count, dpi, &fault)};
    draw_peer(&peer, 1);
    for (int round = 0; round < rounds; round++) { /* interleaved: both see the same machine */
        ours[round] = draw_ours(drawer, &template, dpi, 100000 + round * LABELS);
        theirs[round] = draw_peer(&peer, 100000 + round * LABELS);
        ratio[round] = ours[round] / theirs[round];
    }
    printf("{\"template\":\"%s\",\"dpi\":%d,\"labels\":%d,\"first_us\":%.0f,\"us\":%.1f,\"peer_us\":%.1f,\"ratio\":%."
           "3f}\n",
           argv[2], dpi, rounds * LABELS, first, median(ours, rounds), median(theirs, rounds), median(ratio, rounds));
    g_object_unref(peer.context);
    drawer_destroy(still);
    drawer_destroy(drawer);
    return 0;
}
