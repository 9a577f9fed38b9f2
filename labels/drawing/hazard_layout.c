#include "labels/drawing/hazard_layout.h"

#include <string.h>

#include "labels/drawing/hazard_text.h"

enum { GAP_UM = 700, COLUMN_UM_MIN = 15000 };

struct work {
    struct letters *letters;
    const struct hazard_place *place;
    struct hazard_layout *layout;
    struct hazard_tokens tokens;
};

/* The smallest capitals whose small x is as high as the table asks, as it really comes out at this resolution. */
static void least_letters(struct letters *letters, const struct pitch *pitch, const struct hazard_size *size,
                          int *height, int *x_height)
{
    const int wanted = pitch_after(pitch, PITCH_DOWN, size->x_height);
    for (*height = wanted;; (*height)++) {
        struct letters_extent regular, bold;
        letters_set(letters, "x", *height, false, &regular);
        letters_set(letters, "x", *height, true, &bold);
        const int a = regular.bottom - regular.top, b = bold.bottom - bold.top;
        *x_height = a < b ? a : b;
        if (*x_height >= wanted)
            return;
    }
}

/* Pictograms in staggered rows of `across`, then one fewer, …: diamonds nest. `block` is what they take. */
static void place_marks(struct work *work, int across, struct layout_box *block)
{
    struct hazard_layout *layout = work->layout;
    const struct layout_box *room = &work->place->room;
    const int gap = pitch_after_both(&work->place->pitch, GAP_UM), half = layout->half;
    const int pitch = 2 * half + gap, step = across > 1 ? half + gap : pitch;
    int row = 0, column = 0;
    layout->mark_count = layout->parts.pictogram_count;
    for (size_t i = 0; i < layout->mark_count; i++) {
        const bool odd = row % 2 == 1 && across > 1;
        layout->marks[i] =
            (struct hazard_mark){layout->parts.pictograms[i], room->x + half + column * pitch + (odd ? pitch / 2 : 0),
                                 room->y + half + row * step};
        if (++column == across - odd && i + 1 < layout->mark_count) {
            column = 0;
            row++;
        }
    }
    const bool any = layout->mark_count > 0;
    *block = (struct layout_box){room->x, room->y, any ? (across - 1) * pitch + 2 * half : 0,
                                 any ? row * step + 2 * half : 0};
}

static bool block_fits(const struct layout_box *block, const struct layout_box *room)
{
    return block->width <= room->width && block->height <= room->height;
}

static struct layout_box below(const struct layout_box *block, const struct layout_box *room, int gap)
{
    const int taken = block->height > 0 ? block->height + gap : 0;
    return (struct layout_box){room->x, room->y + taken, room->width, room->height - taken};
}

static struct layout_box beside(const struct layout_box *block, const struct layout_box *room, int gap)
{
    const int taken = block->width + gap;
    return (struct layout_box){room->x + taken, room->y, room->width - taken, room->height};
}

/* With letters of the height that was measured: any way to stand pictograms and text. */
static bool try_arrangements(struct work *work, bool *marks_fit)
{
    struct hazard_layout *layout = work->layout;
    const struct layout_box *room = &work->place->room;
    const int gap = pitch_after_both(&work->place->pitch, GAP_UM);
    int across = layout->parts.pictogram_count > 0 ? (int)layout->parts.pictogram_count : 1;
    for (; across > 0; across--) {
        struct layout_box block;
        place_marks(work, across, &block);
        if (!block_fits(&block, room))
            continue;
        *marks_fit = true;
        const struct layout_box under = below(&block, room, gap), right = beside(&block, room, gap);
        if (block.width > 0 && right.width >= pitch_after(&work->place->pitch, PITCH_ACROSS, COLUMN_UM_MIN) &&
            hazard_text_set(work->letters, &layout->parts, &work->tokens, &right, layout))
            return true;
        if (hazard_text_set(work->letters, &layout->parts, &work->tokens, &under, layout))
            return true;
    }
    return false;
}

/* Symbols go into the stock's diamonds; the text stands below the lowest of them. */
static bool try_preprinted(struct work *work)
{
    const struct hazard_element *element = work->place->element;
    struct hazard_layout *layout = work->layout;
    struct layout_box column = work->place->room;
    int bottom = column.y;
    layout->mark_count = element->diamond_count;
    for (size_t i = 0; i < element->diamond_count; i++) {
        const int x = pitch_dots(&work->place->pitch, PITCH_ACROSS, element->diamonds[i].x);
        const int y = pitch_dots(&work->place->pitch, PITCH_DOWN, element->diamonds[i].y);
        layout->marks[i] = (struct hazard_mark){layout->parts.pictograms[i], x, y};
        bottom = y + layout->half > bottom ? y + layout->half : bottom;
    }
    bottom += pitch_after(&work->place->pitch, PITCH_DOWN, GAP_UM);
    column.height -= bottom - column.y;
    column.y = bottom;
    return hazard_text_set(work->letters, &layout->parts, &work->tokens, &column, layout);
}

static bool check_preprinted(const struct hazard_place *place, const struct hazard_layout *layout, int side,
                             struct fault *fault)
{
    const struct hazard_element *element = place->element;
    if (layout->parts.pictogram_count < element->diamond_count)
        return fault_set(fault, FAULT_INPUT,
                         "the stock has %zu red diamonds and the SDS's entry %zu pictograms: a diamond must not stay "
                         "empty (29 CFR 1910.1200, appendix C.2.3), so take stock with %zu",
                         element->diamond_count, layout->parts.pictogram_count, layout->parts.pictogram_count);
    if (layout->parts.pictogram_count > element->diamond_count)
        return fault_set(fault, FAULT_INPUT,
                         "the SDS's entry has %zu pictograms and the stock only %zu red diamonds: take stock with %zu",
                         layout->parts.pictogram_count, element->diamond_count, layout->parts.pictogram_count);
    if (element->side_um < side)
        return fault_set(fault, FAULT_INPUT,
                         "a package of %s takes pictograms of %.1f mm a side or more (CLP Annex I table 1.3), and the "
                         "stock's diamonds have %g: take stock with larger ones",
                         layout->size->words, side / 1000.0, element->side_um / 1000.0);
    return true;
}

static bool refuse_marks(const struct hazard_layout *layout, int side, struct fault *fault)
{
    return fault_set(
        fault, FAULT_INPUT,
        "%zu pictograms of %.1f mm a side do not fit the hazard part, and a package of %s takes no smaller "
        "ones (CLP Annex I table 1.3): choose a larger label",
        layout->parts.pictogram_count, side / 1000.0, layout->size->words);
}

static bool refuse_text(const struct hazard_layout *layout, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT,
                     "the hazard text does not fit beside or below the pictograms, and a package of %s takes letters "
                     "with an x of %g mm or more (Regulation (EU) 2024/2865): choose a larger label",
                     layout->size->words, layout->size->x_height / 1000.0);
}

/* From the wished height of letters down to the table's. */
static bool lay_text(struct work *work, int side, struct fault *fault)
{
    struct hazard_layout *layout = work->layout;
    const struct hazard_element *element = work->place->element;
    bool marks_fit = element->preprinted;
    int least, x_height;
    least_letters(work->letters, &work->place->pitch, layout->size, &least, &x_height);
    int height = pitch_dots(&work->place->pitch, PITCH_DOWN, element->letters_um);
    for (height = height > least ? height : least; height >= least; height--) {
        const int em = LETTERS_CAPITAL_OF_EM * 100;
        layout->letters = height;
        layout->x_height = x_height; /* at least: taller letters have a taller x */
        layout->pitch = (height * 1000 * HAZARD_PITCH_PERCENT + em - 1) / em;
        hazard_text_measure(work->letters, &layout->parts, height, &work->tokens);
        if (element->preprinted ? try_preprinted(work) : try_arrangements(work, &marks_fit))
            return true;
    }
    return marks_fit ? refuse_text(layout, fault) : refuse_marks(layout, side, fault);
}

/* ---- the same again ---- */

static bool same_element(const struct hazard_element *a, const struct hazard_element *b)
{
    return a->letters_um == b->letters_um && a->preprinted == b->preprinted && a->small == b->small &&
           a->see_sds == b->see_sds && a->side_um == b->side_um && a->diamond_count == b->diamond_count &&
           memcmp(a->diamonds, b->diamonds, a->diamond_count * sizeof *a->diamonds) == 0;
}

static bool same_parts(const struct hazard_parts *a, const struct hazard_parts *b)
{
    if (a->capacity_ml != b->capacity_ml || a->paragraph_count != b->paragraph_count ||
        a->pictogram_count != b->pictogram_count ||
        memcmp(a->pictograms, b->pictograms, a->pictogram_count * sizeof *a->pictograms) != 0)
        return false;
    for (size_t i = 0; i < a->paragraph_count; i++) {
        const struct hazard_paragraph *one = &a->paragraphs[i], *other = &b->paragraphs[i];
        if (one->bold != other->bold || one->field != other->field || one->text.length != other->text.length ||
            memcmp(one->text.at, other->text.at, one->text.length) != 0)
            return false;
    }
    return true;
}

static bool is_made(const struct hazard_layout *layout, const struct hazard_place *place,
                    const struct hazard_parts *parts)
{
    return layout->made && memcmp(&layout->dots, &place->pitch, sizeof layout->dots) == 0 &&
           layout->label_width == place->label_width && layout->label_height == place->label_height &&
           memcmp(&layout->room, &place->room, sizeof layout->room) == 0 &&
           same_element(&layout->element, place->element) && same_parts(&layout->parts, parts);
}

static bool make(struct work *work, struct fault *fault)
{
    const struct hazard_place *place = work->place;
    const struct hazard_element *element = place->element;
    struct hazard_layout *layout = work->layout;
    layout->size = hazard_size_of(layout->parts.capacity_ml);
    if (!hazard_size_check_label(layout->size, place->label_width, place->label_height, element->small, fault))
        return false;
    const int side = hazard_size_side(layout->size, place->label_width, place->label_height);
    layout->frames = !element->preprinted;
    layout->half = pitch_after_both(&place->pitch, hazard_diamond_half(element->preprinted ? element->side_um : side));
    if (element->preprinted && !check_preprinted(place, layout, side, fault))
        return false;
    return hazard_text_cut(work->letters, &layout->parts, &work->tokens, fault) && lay_text(work, side, fault);
}

bool hazard_layout_make(struct letters *letters, const struct hazard_place *place, const struct label_values *values,
                        struct hazard_layout *layout, struct fault *fault)
{
    struct work work = {.letters = letters, .place = place, .layout = layout};
    struct hazard_parts parts;
    if (!hazard_parts_read(place->element, values, &parts, fault))
        return false;
    if (is_made(layout, place, &parts))
        return true;
    layout->made = false;
    layout->element = *place->element;
    layout->room = place->room;
    layout->label_width = place->label_width;
    layout->label_height = place->label_height;
    layout->dots = place->pitch;
    /* read again: paragraphs point into their parts */
    layout->made = hazard_parts_read(place->element, values, &layout->parts, fault) && make(&work, fault);
    return layout->made;
}
