#include "labels/drawing/layout.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "labels/drawing/symbol_content.h"

struct work {
    struct letters *letters;
    const struct template *template;
    const struct label_values *values;
    struct layout *layout;
};

/* The whole dots inside a room: rooms that touch in millimetres never share a dot. */
static struct layout_box inner_box(const struct template_box *box, const struct pitch *pitch)
{
    const int x = pitch_after(pitch, PITCH_ACROSS, box->x), y = pitch_after(pitch, PITCH_DOWN, box->y);
    return (struct layout_box){x, y, pitch_before(pitch, PITCH_ACROSS, box->x + box->width) - x,
                               pitch_before(pitch, PITCH_DOWN, box->y + box->height) - y};
}

/* The dots of a line or frame: one at least, and none that a neighbour's room could hold. */
static struct layout_box rule_box(const struct layout *layout, const struct template_box *box)
{
    const struct pitch *pitch = &layout->pitch;
    const int x = pitch_before(pitch, PITCH_ACROSS, box->x), y = pitch_before(pitch, PITCH_DOWN, box->y);
    int right = pitch_dots(pitch, PITCH_ACROSS, box->x + box->width);
    int bottom = pitch_dots(pitch, PITCH_DOWN, box->y + box->height);
    right = right > x ? right : x + 1;
    bottom = bottom > y ? bottom : y + 1;
    right = right < layout->width ? right : layout->width;
    bottom = bottom < layout->height ? bottom : layout->height;
    return (struct layout_box){x, y, right - x, bottom - y};
}

/* The field to name when an element's text is in the way: the one with the longest value. */
static const char *longest_field(const char *pattern, const struct label_values *values)
{
    unsigned uses = 0;
    const char *name = NULL;
    size_t longest = 0;
    label_field_check_pattern(pattern, &uses, NULL);
    for (int id = 0; id < LABEL_FIELD_IDS; id++) {
        if (!(uses >> id & 1) || !values->at[id] || strlen(values->at[id]) < longest)
            continue;
        longest = strlen(values->at[id]);
        name = label_field_name((enum label_field_id)id);
    }
    return name;
}

static const char *field_holding(const char *pattern, const struct label_values *values, const char *character)
{
    unsigned uses = 0;
    label_field_check_pattern(pattern, &uses, NULL);
    for (int id = 0; id < LABEL_FIELD_IDS; id++)
        if (uses >> id & 1 && values->at[id] && strstr(values->at[id], character))
            return label_field_name((enum label_field_id)id);
    return NULL;
}

static bool refuse_glyph(const struct work *work, const struct layout_piece *piece, unsigned code, struct fault *fault)
{
    char character[8] = "";
    character[g_unichar_to_utf8(code, character)] = '\0';
    const char *field = field_holding(piece->element->value, work->values, character);
    if (field)
        return fault_set(fault, FAULT_INPUT,
                         "field '%s' has the character %s (U+%04X), which no installed font can draw in black: "
                         "write it differently",
                         field, character, code);
    return fault_set(fault, FAULT_INPUT,
                     "template '%s' line %d: no installed font can draw the character %s (U+%04X) in black: write it "
                     "differently",
                     work->template->name, piece->element->line, character, code);
}

/* From the leftmost ink or the start of the line to the rightmost ink or the line's end. */
static int text_width(const struct letters_extent *extent)
{
    const int left = extent->left < 0 ? extent->left : 0;
    return (extent->right > extent->width ? extent->right : extent->width) - left;
}

/* `extent` is that of the smallest letters. */
static bool refuse_text(const struct work *work, const struct layout_piece *piece, const struct letters_extent *extent,
                        struct fault *fault)
{
    const struct template_element *element = piece->element;
    const struct pitch *pitch = &work->layout->pitch;
    const char *field = longest_field(element->value, work->values);
    const bool wide = text_width(extent) > piece->room.width;
    const enum pitch_axis axis = wide ? PITCH_ACROSS : PITCH_DOWN;
    const double needs = pitch_mm(pitch, axis, wide ? text_width(extent) : extent->bottom - extent->top);
    const double has = pitch_mm(pitch, axis, wide ? piece->room.width : piece->room.height);
    const char *what = wide ? "width" : "height";
    const double letters = element->letters_least_um / 1000.0;
    if (field)
        return fault_set(fault, FAULT_INPUT,
                         "field '%s' does not fit the label: with the smallest letters, %g mm, its line needs %.1f mm "
                         "of %s and has %.1f; shorten it: '%s'",
                         field, letters, needs, what, has, work->values->at[label_field_find(span_of(field))]);
    return fault_set(fault, FAULT_INPUT,
                     "template '%s' line %d: the words need %.1f mm of %s with the smallest letters, %g mm, and have "
                     "%.1f: enlarge the room",
                     work->template->name, element->line, needs, what, letters, has);
}

/* Puts a measured text into its room: aligned by its ink and advance, capitals in the middle, moved up or down only
 * as far as ink outside the capitals' band needs. False: it does not fit. */
static bool place_text(struct layout_piece *piece, const struct letters_extent *extent)
{
    const struct layout_box *room = &piece->room;
    const int left = extent->left < 0 ? extent->left : 0;
    const int width = text_width(extent);
    const int height = extent->bottom - extent->top;
    if (width > room->width || height > room->height)
        return false;
    const int spare = room->width - width;
    const enum template_align align = piece->element->align;
    const int x = room->x + (align == TEMPLATE_LEFT ? 0 : align == TEMPLATE_RIGHT ? spare : spare / 2);
    int y = room->y + (room->height + piece->letters) / 2;
    if (y + extent->top < room->y)
        y = room->y - extent->top;
    if (y + extent->bottom > room->y + room->height)
        y = room->y + room->height - extent->bottom;
    piece->baseline_x = x - left;
    piece->baseline_y = y;
    piece->ink =
        (struct layout_box){piece->baseline_x + extent->left, y + extent->top, extent->right - extent->left, height};
    return true;
}

/* The next smaller height to try: where the width says it could fit, and at least one dot less. The guess may be off,
 * for hinted widths grow in steps: the smallest height is always tried. */
static int smaller(int height, int least, int room, int width)
{
    int guess = width > room ? (int)((int64_t)height * room / width) + 1 : height - 1;
    guess = guess < height ? guess : height - 1;
    return guess < least && height > least ? least : guess;
}

static bool lay_text(struct work *work, struct layout_piece *piece, struct fault *fault)
{
    const struct template_element *element = piece->element;
    const struct pitch *pitch = &work->layout->pitch;
    const int least = pitch_after(pitch, PITCH_DOWN, element->letters_least_um);
    struct letters_extent extent = {0};
    if (!label_field_fill_line(element->value, work->values, piece->text, fault))
        return false;
    piece->room = inner_box(&element->box, pitch);
    piece->letters = pitch_dots(pitch, PITCH_DOWN, element->letters_um);
    if (piece->letters < least)
        piece->letters = least;
    while (piece->letters >= least) {
        letters_set(work->letters, piece->text, piece->letters, element->bold, &extent);
        const unsigned missing = letters_missing(work->letters);
        if (missing)
            return refuse_glyph(work, piece, missing, fault);
        if (place_text(piece, &extent))
            return true;
        piece->letters = smaller(piece->letters, least, piece->room.width, extent.width);
    }
    return refuse_text(work, piece, &extent, fault);
}

/* Dots a module: as near to the wish as whole dots allow, then fewer, never under the floor. 0: does not fit. */
static int module_dots(const struct template_element *element, int modules, const struct layout_box *room,
                       const struct pitch *pitch)
{
    const int least = pitch_after_both(pitch, element->module_least_um);
    int dots = pitch_dots(pitch, PITCH_ACROSS, element->module_um);
    for (dots = dots > least ? dots : least; dots >= least; dots--)
        if (modules * dots <= room->width && modules * dots <= room->height)
            return dots;
    return 0;
}

bool layout_symbol_place(const struct template_element *element, int modules, const struct pitch *pitch,
                         struct layout_box *ink, int *module)
{
    const struct layout_box room = inner_box(&element->box, pitch);
    const int dots = module_dots(element, modules + 2 * LAYOUT_QUIET, &room, pitch), side = modules * dots;
    if (!dots)
        return false;
    *ink = (struct layout_box){room.x + (room.width - side) / 2, room.y + (room.height - side) / 2, side, side};
    *module = dots;
    return true;
}

static bool refuse_symbol(const struct work *work, const struct layout_piece *piece, int modules, struct fault *fault)
{
    const struct template_element *element = piece->element;
    const struct pitch *pitch = &work->layout->pitch;
    const double dots = (double)modules * pitch_after_both(pitch, element->module_least_um);
    return fault_set(fault, FAULT_INPUT,
                     "the symbol has %d x %d modules and needs %.1f x %.1f mm with its quiet zone, "
                     "but template '%s' line %d leaves %g x %g mm: shorten item or lot, or enlarge "
                     "the room",
                     piece->matrix->rows, piece->matrix->columns, pitch_mm(pitch, PITCH_ACROSS, dots),
                     pitch_mm(pitch, PITCH_DOWN, dots), work->template->name, element->line,
                     element->box.width / 1000.0, element->box.height / 1000.0);
}

static bool lay_symbol(struct work *work, struct layout_piece *piece, struct fault *fault)
{
    const struct template_element *element = piece->element;
    struct layout *layout = work->layout;
    struct matrix *matrix = &layout->matrices[layout->matrix_count];
    char bytes[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    if (!label_field_fill(element->value, work->values, piece->text, fault) ||
        !symbol_content_write(element->symbol, piece->text, work->values, bytes, &length, fault) ||
        !matrix_encode((struct span){bytes, length}, false, matrix, fault))
        return false;
    layout->matrix_count++;
    piece->matrix = matrix;
    piece->room = inner_box(&element->box, &layout->pitch);
    /* square: matrix_encode makes no others */
    return layout_symbol_place(element, matrix->columns, &layout->pitch, &piece->ink, &piece->module) ||
           refuse_symbol(work, piece, matrix->columns + 2 * LAYOUT_QUIET, fault);
}

static bool lay_hazard(struct work *work, struct layout_piece *piece, struct fault *fault)
{
    struct layout *layout = work->layout;
    const struct template_element *element = piece->element;
    piece->room = piece->ink = inner_box(&element->box, &layout->pitch);
    piece->hazard = &layout->hazard;
    const struct hazard_place place = {&element->hazard, piece->room, work->template->width_um,
                                       work->template->height_um, layout->pitch};
    return hazard_layout_make(work->letters, &place, work->values, &layout->hazard, fault);
}

static bool lay_piece(struct work *work, struct layout_piece *piece, struct fault *fault)
{
    const struct template_element *element = piece->element;
    switch (element->kind) {
    case TEMPLATE_SYMBOL:
        return lay_symbol(work, piece, fault);
    case TEMPLATE_TEXT:
        return lay_text(work, piece, fault);
    case TEMPLATE_HAZARD:
        return lay_hazard(work, piece, fault);
    case TEMPLATE_LINE_ELEMENT:
    case TEMPLATE_FRAME:
        break;
    }
    piece->room = piece->ink = rule_box(work->layout, &element->box);
    const int thick = pitch_dots(&work->layout->pitch, PITCH_ACROSS, element->thick_um);
    piece->thick = thick > 0 ? thick : 1;
    return true;
}

/* A demo's label must say so: a template without a place for the mark cannot be used for one. */
static bool check_sample(const struct template *template, const struct label_values *values, struct fault *fault)
{
    if (!values->at[LABEL_FIELD_SAMPLE] || template->uses >> LABEL_FIELD_SAMPLE & 1)
        return true;
    return fault_set(fault, FAULT_INPUT,
                     "template '%s' has no place for the field 'sample': add a text \"{sample}\" to "
                     "it",
                     template->name);
}

bool layout_make(struct letters *letters, const struct template *template, const struct label_values *values,
                 const struct pitch *pitch, struct layout *layout, struct fault *fault)
{
    struct work work = {letters, template, values, layout};
    if (!pitch_check(pitch, fault) || !check_sample(template, values, fault))
        return false;
    layout->width = pitch_dots(pitch, PITCH_ACROSS, template->width_um);
    layout->height = pitch_dots(pitch, PITCH_DOWN, template->height_um);
    layout->pitch = *pitch;
    layout->piece_count = layout->matrix_count = 0;
    for (size_t i = 0; i < template->element_count; i++) {
        if (!template_is_shown(&template->elements[i], values))
            continue;
        struct layout_piece *piece = &layout->pieces[layout->piece_count];
        *piece = (struct layout_piece){.element = &template->elements[i]};
        if (!lay_piece(&work, piece, fault))
            return false;
        layout->piece_count++;
    }
    return true;
}
