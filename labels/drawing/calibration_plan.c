#include "labels/drawing/calibration_plan.h"

#include <stdio.h>
#include <string.h>

#include "labels/content/calibration_symbol.h"
#include "labels/drawing/dots.h"

enum {
    UM = 1000,
    TICK_UM = 1000,
    TICK_5_UM = 1750,
    TICK_10_UM = 2500,
    NUMBER_UM = 3900,  /* from the edge to the numbers */
    INNER_X_UM = 7000, /* the symbols' part of the label */
    INNER_Y_UM = 5700,
    ARROW_UM = 3000, /* width; its strip lies along the right edge */
    ARROW_LONG_UM = 8000,
    STRIP_UM = 5000,
    CORNER_UM = 2000,
    CORNER_ROOM_UM = 4000, /* rulers end before the next corner's mark */
    LETTERS_UM = 1500,     /* the floor of legibility of template.h */
    GAP_UM = 500,
    SIZE_WIDE_UM = 8000, /* room of "10: 0.85" */
    SIZE_FROM_UM = 20000 /* a lower label has no room for words; its symbols still say their size when read */
};

static int at(const struct calibration_plan *plan, int um)
{
    return dots_of_um(um, plan->dpi);
}

static void add_box(struct calibration_plan *plan, int x, int y, int width, int height)
{
    plan->boxes[plan->box_count++] = (struct layout_box){x, y, width, height};
}

static void add_text(struct calibration_plan *plan, int x, int y, const char *text)
{
    struct calibration_text *to = &plan->texts[plan->text_count++];
    to->x = x;
    to->y = y;
    (void)snprintf(to->text, sizeof to->text, "%s", text);
}

/* A tick's near edge lies on its millimetre: that edge is what is measured from. */
static void add_tick(struct calibration_plan *plan, int mm, bool down_the_side)
{
    const int stretch = down_the_side ? plan->stretch_down_mm : plan->stretch_mm;
    const bool long_one = mm % 10 == 0 || mm == CALIBRATION_FROM_MM || mm == CALIBRATION_FROM_MM + stretch;
    const int length = at(plan, long_one ? TICK_10_UM : mm % 5 == 0 ? TICK_5_UM : TICK_UM);
    const int margin = at(plan, CALIBRATION_MARGIN_UM), place = at(plan, mm * UM);
    const int thick = plan->dpi >= 400 ? 3 : plan->dpi >= 250 ? 2 : 1;
    char number[16];
    if (down_the_side)
        add_box(plan, margin, place, length, thick);
    else
        add_box(plan, place, margin, thick, length);
    if (!long_one || (down_the_side && mm == CALIBRATION_FROM_MM)) /* the first number of both would be in one place */
        return;
    (void)snprintf(number, sizeof number, "%d", mm);
    if (down_the_side)
        add_text(plan, at(plan, NUMBER_UM), place + plan->letters / 2, number);
    else
        add_text(plan, place - plan->letters / 2, at(plan, NUMBER_UM) + plan->letters, number);
}

static void add_ruler(struct calibration_plan *plan, int length_um, bool down_the_side)
{
    const int room = (length_um - CORNER_ROOM_UM) / UM;
    const int last = room < CALIBRATION_RULER_MM_MAX ? room : CALIBRATION_RULER_MM_MAX;
    for (int mm = CALIBRATION_FROM_MM; mm <= last; mm++)
        add_tick(plan, mm, down_the_side);
}

static void add_corners(struct calibration_plan *plan)
{
    const int margin = at(plan, CALIBRATION_MARGIN_UM), arm = at(plan, CORNER_UM), thick = plan->dpi >= 400 ? 4 : 2;
    for (int i = 0; i < 4; i++) {
        const bool right = i & 1, low = i & 2;
        const int x = right ? plan->width - margin : margin, y = low ? plan->height - margin : margin;
        add_box(plan, right ? x - arm : x, low ? y - thick : y, arm, thick);
        add_box(plan, right ? x - thick : x, low ? y - arm : y, thick, arm);
    }
}

/* Symbols in rows, as many as there is room for, each with "dots: millimetres" under it. */
struct shelf {
    int left, right, bottom; /* of the symbols' part */
    int words;               /* height of the line under each; 0: none */
    int x, y, high;          /* where the next one stands; height of this row */
};

static bool place_symbol(const struct calibration_plan *plan, struct shelf *shelf, int side, struct layout_box *room)
{
    const int gap = at(plan, GAP_UM), least = shelf->words ? at(plan, SIZE_WIDE_UM) : 0;
    const int wide = side > least ? side : least;
    if (shelf->x + wide > shelf->right) {
        shelf->y += shelf->high + gap;
        shelf->x = shelf->left;
        shelf->high = 0;
    }
    if (shelf->x + wide > shelf->right || shelf->y + side + shelf->words > shelf->bottom)
        return false;
    *room = (struct layout_box){shelf->x, shelf->y, side, side};
    shelf->x += wide + gap;
    shelf->high = side + shelf->words; /* the last of a row is its largest */
    return true;
}

/* With the label's size in it, or else without: a low label has no room for the larger one. */
static bool add_symbol(struct calibration_plan *plan, struct shelf *shelf, int dots, bool says_size, bool *fits,
                       struct fault *fault)
{
    struct calibration_module *symbol = &plan->symbols[plan->symbol_count];
    struct calibration_symbol said = {plan->dpi, dots, plan->width_um, plan->height_um};
    struct layout_box room;
    char text[CALIBRATION_SYMBOL_SIZE], size[16];
    struct builder out;
    if (!says_size)
        said.width_um = said.height_um = 0;
    calibration_symbol_write(&said, text);
    if (!matrix_encode(span_of(text), false, &symbol->matrix, fault))
        return false;
    const int quiet = LAYOUT_QUIET * dots, side = symbol->matrix.columns * dots;
    struct shelf tried = *shelf;
    *fits = place_symbol(plan, &tried, side + 2 * quiet, &room);
    if (!*fits)
        return true;
    *shelf = tried;
    symbol->dots = dots;
    symbol->says_size = says_size;
    symbol->ink = (struct layout_box){room.x + quiet, room.y + quiet, side, side};
    plan->symbol_count++;
    builder_init(&out, size, sizeof size);
    builder_addf(&out, "%d: %.2f", dots, dots * 25.4 / plan->dpi);
    if (shelf->words)
        add_text(plan, room.x, room.y + room.height + at(plan, GAP_UM) / 2 + plan->letters, size);
    return true;
}

static bool add_symbols(struct calibration_plan *plan, struct fault *fault)
{
    const int right = plan->width - at(plan, STRIP_UM), bottom = plan->height - at(plan, CALIBRATION_MARGIN_UM);
    const int left = at(plan, INNER_X_UM);
    const int words = plan->height >= at(plan, SIZE_FROM_UM) ? plan->letters + at(plan, GAP_UM) : 0;
    struct shelf shelf = {left, right, bottom, words, left, at(plan, INNER_Y_UM), 0};
    const int most = at(plan, CALIBRATION_MODULE_UM_MAX);
    bool fits = true;
    for (int dots = CALIBRATION_DOTS_MIN; fits && dots <= most && plan->symbol_count < CALIBRATION_SYMBOLS; dots++)
        if (!add_symbol(plan, &shelf, dots, true, &fits, fault) ||
            (!fits && !add_symbol(plan, &shelf, dots, false, &fits, fault)))
            return false;
    return true;
}

static void add_arrow(struct calibration_plan *plan)
{
    const int top = at(plan, INNER_Y_UM), room = plan->height - at(plan, CORNER_ROOM_UM) - top;
    const int wish = at(plan, ARROW_LONG_UM), wide = at(plan, ARROW_UM);
    plan->arrow =
        (struct layout_box){plan->width - at(plan, CALIBRATION_MARGIN_UM) - wide, top, wide, wish < room ? wish : room};
}

/* In whole tens of millimetres, so that the other line is one of the longer ones. */
static int stretch_of(int length_um)
{
    const int stretch = (length_um - CORNER_ROOM_UM) / UM - CALIBRATION_FROM_MM;
    return stretch < CALIBRATION_STRETCH_MM ? stretch / 10 * 10 : CALIBRATION_STRETCH_MM;
}

bool calibration_plan_make(int width_um, int height_um, int dpi, struct calibration_plan *plan, struct fault *fault)
{
    if (dpi < DOTS_DPI_MIN || dpi > DOTS_DPI_MAX)
        return fault_set(fault, FAULT_INPUT, "%d dots per inch is outside %d to %d: give the printer's own resolution",
                         dpi, DOTS_DPI_MIN, DOTS_DPI_MAX);
    if (width_um < CALIBRATION_WIDTH_UM_MIN || height_um < CALIBRATION_HEIGHT_UM_MIN ||
        width_um > TEMPLATE_SIDE_UM_MAX || height_um > TEMPLATE_SIDE_UM_MAX)
        return fault_set(fault, FAULT_INPUT,
                         "a calibration label is %d x %d to %d x %d mm, and this one is %g x %g: put in another roll",
                         CALIBRATION_WIDTH_UM_MIN / UM, CALIBRATION_HEIGHT_UM_MIN / UM, TEMPLATE_SIDE_UM_MAX / UM,
                         TEMPLATE_SIDE_UM_MAX / UM, width_um / 1000.0, height_um / 1000.0);
    memset(plan, 0, sizeof *plan);
    plan->dpi = dpi;
    plan->width = dots_of_um(width_um, dpi);
    plan->height = dots_of_um(height_um, dpi);
    plan->letters = dots_of_um(LETTERS_UM, dpi);
    plan->width_um = width_um;
    plan->height_um = height_um;
    plan->stretch_mm = stretch_of(width_um);
    plan->stretch_down_mm = stretch_of(height_um);
    add_ruler(plan, width_um, false);
    add_ruler(plan, height_um, true);
    add_corners(plan);
    add_arrow(plan);
    return add_symbols(plan, fault);
}
