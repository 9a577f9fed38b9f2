#include "labels/quality/calibration_measure.h"

#include <math.h>
#include <stdlib.h>

#include "labels/content/calibration_symbol.h"
#include "labels/drawing/calibration_plan.h"
#include "labels/quality/calibration_fit.h"
#include "labels/quality/calibration_line.h"
#include "labels/quality/label_outline.h"
#include "labels/quality/plane.h"

enum { CORNERS = 4, PASSES = 5, LINES_LEAST = 4, LINE_PARTS = 40 };
static const double SYMBOL_WEIGHT = 0.02; /* of a corner of a symbol beside a line: some seven times as far off */
static const double SYMBOLS_OFF_MOST = 0.6, SCATTER_MOST = 0.12; /* millimetres */
/* Millimetres: from the label's edge to what is looked at; of a line, its ends left out, and what must be left. */
static const double PAPER_LEAST = 0.1, ENDS = 0.3, LENGTH_LEAST = 0.3;
static const double LINES_SEEN = 0.6, SIZE_OFF_MOST = 0.05;
static const double AT_RULER = 1.5; /* millimetres from the edge: where line 5 is measured along it */

/* What is known so far; all flat lengths in millimetres. */
struct work {
    const struct grey *picture;
    struct calibration_plan plan;
    double drawn[CALIBRATION_SYMBOLS * CORNERS][2],
        seen[CALIBRATION_SYMBOLS * CORNERS][2]; /* corners of symbols: on
                                                  the plan, in the picture */
    size_t corners;
    struct plane print; /* plan -> picture */
    struct label_outline outline;
    struct plane label; /* label -> picture */
    struct plane back;  /* picture -> label */
    struct fit_axis axis[FIT_AXES];
    size_t tried[FIT_AXES];
};

static bool read_symbol(const struct reader_symbol *symbol, struct calibration_symbol *said)
{
    return calibration_symbol_read((struct span){(const char *)symbol->bytes, symbol->length}, said);
}

bool calibration_measure_wanted(const struct reader_symbol *symbols, size_t count)
{
    struct calibration_symbol said;
    for (size_t i = 0; i < count; i++)
        if (read_symbol(&symbols[i], &said))
            return true;
    return false;
}

static bool refuse_two(struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT,
                     "more than one calibration label is in the picture: photograph one alone, with dark ground around "
                     "it");
}

/* The label that the symbols are of: all that say a size say the same. */
static bool find_label(const struct reader_symbol *symbols, size_t count, struct calibration_symbol *label,
                       struct fault *fault)
{
    struct calibration_symbol said;
    bool found = false, any = false;
    for (size_t i = 0; i < count; i++) {
        if (!read_symbol(&symbols[i], &said))
            continue;
        if (any && said.dpi != label->dpi)
            return refuse_two(fault);
        if (found && said.width_um && (said.width_um != label->width_um || said.height_um != label->height_um))
            return refuse_two(fault);
        if (!any || said.width_um)
            *label = said;
        any = true;
        found = found || said.width_um;
    }
    return found || fault_set(fault, FAULT_INPUT,
                              "none of the symbols that were read says how large the label is: photograph it nearer "
                              "and sharper, or print the calibration label anew");
}

static const struct calibration_module *planned(const struct calibration_plan *plan, int dots)
{
    for (size_t i = 0; i < plan->symbol_count; i++)
        if (plan->symbols[i].dots == dots)
            return &plan->symbols[i];
    return NULL;
}

/* As the reader has them: from the L's corner, lower left, clockwise. */
static void add_corners(struct work *work, const struct layout_box *ink, const double corners[4][2])
{
    const double mm = 25.4 / work->plan.dpi;
    for (int i = 0; i < CORNERS; i++) {
        const bool right = i >= 2, low = i == 0 || i == 3;
        work->drawn[work->corners][0] = (ink->x + (right ? ink->width : 0)) * mm;
        work->drawn[work->corners][1] = (ink->y + (low ? ink->height : 0)) * mm;
        work->seen[work->corners][0] = corners[i][0];
        work->seen[work->corners][1] = corners[i][1];
        work->corners++;
    }
}

static bool take_symbols(struct work *work, const struct reader_symbol *symbols, size_t count, struct fault *fault)
{
    bool taken[CALIBRATION_DOTS_MAX + 1] = {false};
    for (size_t i = 0; i < count; i++) {
        struct calibration_symbol said;
        if (!read_symbol(&symbols[i], &said))
            continue;
        const struct calibration_module *module = planned(&work->plan, said.dots);
        if (taken[said.dots])
            return refuse_two(fault);
        if (symbols[i].mirrored)
            return fault_set(fault, FAULT_INPUT,
                             "the calibration label is seen from behind or in a mirror: photograph its printed side");
        if (!module || module->matrix.columns != symbols[i].columns)
            return fault_set(fault, FAULT_INPUT,
                             "the symbols in the picture are not those of this program's calibration label: print it "
                             "anew");
        taken[said.dots] = true;
        add_corners(work, &module->ink, symbols[i].corners);
    }
    return true;
}

/* How far the corners of symbols lie from where the map has them, in millimetres, at most. */
static bool symbols_agree(const struct work *work)
{
    struct plane back;
    if (!plane_fit(work->seen, work->drawn, work->corners, &back))
        return false;
    for (size_t i = 0; i < work->corners; i++) {
        double place[2];
        plane_place(&back, work->seen[i][0], work->seen[i][1], place);
        if (!(hypot(place[0] - work->drawn[i][0], place[1] - work->drawn[i][1]) < SYMBOLS_OFF_MOST))
            return false;
    }
    return true;
}

/* The edges, and with them the label's own millimetres in the picture and back. */
static bool find_outline(struct work *work, struct fault *fault)
{
    const double wide = work->plan.width_um / 1000.0, high = work->plan.height_um / 1000.0;
    const double corners[OUTLINE_EDGES][2] = {{0, 0}, {wide, 0}, {wide, high}, {0, high}};
    if (!label_outline_find(work->picture, &work->print, &work->plan, &work->outline, fault))
        return false;
    return (plane_fit(corners, work->outline.corner, OUTLINE_EDGES, &work->label) &&
            plane_fit(work->outline.corner, corners, OUTLINE_EDGES, &work->back)) ||
           fault_set(fault, FAULT_INPUT, "the label's edges make no rectangle: hold the camera square to the label");
}

static void add_place(struct fit_axis *axis, double x, double y, double came_out, double weight)
{
    if (axis->count < FIT_PLACES)
        axis->places[axis->count++] = (struct fit_place){{x, y}, came_out, weight, false};
}

static void add_symbol_places(struct work *work)
{
    for (size_t i = 0; i < work->corners; i++) {
        double place[2];
        plane_place(&work->back, work->seen[i][0], work->seen[i][1], place);
        for (int k = 0; k < FIT_AXES; k++)
            add_place(&work->axis[k], work->drawn[i][0], work->drawn[i][1], place[k], SYMBOL_WEIGHT);
    }
}

/* The print's map from the fits: onto the label, and from there into the picture. */
static bool fit_print(struct work *work)
{
    if (!calibration_fit_axis(&work->axis[FIT_ACROSS]) || !calibration_fit_axis(&work->axis[FIT_DOWN]))
        return false;
    const double *across = work->axis[FIT_ACROSS].at, *down = work->axis[FIT_DOWN].at;
    const struct plane onto = {{{across[1], across[2], across[0]}, {down[1], down[2], down[0]}, {0, 0, 1}}};
    work->print = plane_chain(&onto, &work->label);
    return true;
}

/* By the map as it is: is there label at a place of the plan? */
static bool is_on_label(const struct work *work, double x, double y)
{
    const double right = calibration_fit_at(&work->axis[FIT_ACROSS], x, y);
    const double down = calibration_fit_at(&work->axis[FIT_DOWN], x, y);
    return right > PAPER_LEAST && right < work->plan.width_um / 1000.0 - PAPER_LEAST && down > PAPER_LEAST &&
           down < work->plan.height_um / 1000.0 - PAPER_LEAST;
}

/* The line without its ends, where another arm of a corner's mark may be, and without what lies over the label's edge.
 * False: too little is left. */
static bool take_line(const struct work *work, const struct layout_box *box, struct calibration_line *line)
{
    const double mm = 25.4 / work->plan.dpi;
    const double length = (box->width > box->height ? box->width : box->height) * mm - 2 * ENDS;
    const double across = box->width > box->height ? 0 : CALIBRATION_LINE_REACH;
    const double down = box->width > box->height ? CALIBRATION_LINE_REACH : 0;
    double first = HUGE_VAL, last = -HUGE_VAL;
    line->lies = box->width > box->height;
    line->half = (line->lies ? box->height : box->width) * mm / 2;
    const double x = box->x * mm + (line->lies ? ENDS : line->half), y = box->y * mm + (line->lies ? line->half : ENDS);
    for (int i = 0; i <= LINE_PARTS; i++) {
        const double along = length * i / LINE_PARTS;
        const double here_x = x + (line->lies ? along : 0), here_y = y + (line->lies ? 0 : along);
        if (!is_on_label(work, here_x - across, here_y - down) || !is_on_label(work, here_x + across, here_y + down))
            continue;
        first = fmin(first, along);
        last = along;
    }
    line->start[0] = x + (line->lies ? first : 0);
    line->start[1] = y + (line->lies ? 0 : first);
    line->end[0] = x + (line->lies ? last : 0);
    line->end[1] = y + (line->lies ? 0 : last);
    return last - first >= LENGTH_LEAST;
}

static void measure_line(struct work *work, const struct layout_box *box)
{
    struct calibration_line line;
    double off = 0, place[2], on_label[2];
    if (!take_line(work, box, &line))
        return;
    const int k = line.lies ? FIT_DOWN : FIT_ACROSS;
    const double x = (line.start[0] + line.end[0]) / 2, y = (line.start[1] + line.end[1]) / 2;
    work->tried[k]++;
    if (!calibration_line_find(work->picture, &work->print, &line, &off))
        return;
    plane_place(&work->print, x + (line.lies ? 0 : off), y + (line.lies ? off : 0), place);
    plane_place(&work->back, place[0], place[1], on_label);
    add_place(&work->axis[k], x, y, on_label[k], 1);
}

/* Lines up to `most` millimetres right and down, by the map as it is; then the map by them. */
static bool measure_lines(struct work *work, double most)
{
    const double mm = 25.4 / work->plan.dpi;
    for (int k = 0; k < FIT_AXES; k++)
        work->axis[k].count = work->tried[k] = 0;
    add_symbol_places(work);
    for (size_t i = 0; i < work->plan.box_count; i++) {
        const struct layout_box *box = &work->plan.boxes[i];
        if (box->x * mm < most && box->y * mm < most)
            measure_line(work, box);
    }
    return fit_print(work);
}

/* From the symbols outwards: a map that is known near them is good enough for the lines a little farther on. */
static bool measure_print(struct work *work, struct fault *fault)
{
    static const double reach[PASSES] = {20, 45, 100, 500, 500};
    add_symbol_places(work);
    bool good = fit_print(work) && find_outline(work, fault); /* again, from a map that knows where the label is */
    if (!good)
        return false;
    for (int i = 0; good && i < PASSES; i++)
        good = measure_lines(work, reach[i]);
    for (int k = 0; k < FIT_AXES; k++) {
        const struct fit_axis *axis = &work->axis[k];
        if (!good || axis->kept < LINES_LEAST || (double)axis->kept < LINES_SEEN * (double)work->tried[k])
            return fault_set(fault, FAULT_INPUT,
                             "of %zu lines that tell how far %s the print came out, only %zu are seen where they "
                             "should be: photograph it sharper and nearer, flat, in even light; or the print falls "
                             "off the label, then set the roll's guides",
                             work->tried[k], k == FIT_ACROSS ? "right" : "down", good ? axis->kept : 0);
        if (axis->scatter > SCATTER_MOST)
            return fault_set(fault, FAULT_INPUT,
                             "the lines lie %.2f mm from where a straight print has them: lay the label flat, hold the "
                             "camera square to it and a little farther away",
                             axis->scatter);
    }
    return true;
}

static bool check_size(const struct calibration_measure *fresh, struct fault *fault)
{
    const double off = fmax(fabs(fresh->size_across - 1), fabs(fresh->size_down - 1));
    return off <= SIZE_OFF_MOST ||
           fault_set(fault, FAULT_INPUT,
                     "the print is %.1f %% off the size of a label of %g x %g mm: is that the roll, and is the whole "
                     "label, and nothing beside it, on dark ground?",
                     off * 100, fresh->width_um / 1000.0, fresh->height_um / 1000.0);
}

/* Millimetres of a pixel, about the middle of the label. */
static double mm_a_pixel(const struct work *work)
{
    const double(*corner)[2] = work->outline.corner;
    const double across = hypot(corner[1][0] - corner[0][0], corner[1][1] - corner[0][1]);
    return work->plan.width_um / 1000.0 / across;
}

static double size_error(const struct fit_axis *axis, int unknown, double a, double b, double length)
{
    return sqrt(axis->spread[unknown][unknown] + (a * a + b * b) / (length * length));
}

static void fill(const struct work *work, struct calibration_measure *fresh)
{
    const struct calibration_plan *plan = &work->plan;
    const struct fit_axis *across = &work->axis[FIT_ACROSS], *down = &work->axis[FIT_DOWN];
    const double line = CALIBRATION_FROM_MM, degree = acos(-1) / 180, mm = mm_a_pixel(work);
    const double *edge = work->outline.scatter;
    *fresh = (struct calibration_measure){
        .dpi = plan->dpi,
        .width_um = plan->width_um,
        .height_um = plan->height_um,
        .left_mm = calibration_fit_at(across, line, AT_RULER),
        .top_mm = calibration_fit_at(down, AT_RULER, line),
        .size_across = across->at[1],
        .size_down = down->at[2],
        .turn_degrees = (down->at[1] - across->at[2]) / 2 / degree,
        .left_error_mm = hypot(calibration_fit_error(across, line, AT_RULER), edge[3] * mm),
        .top_error_mm = hypot(calibration_fit_error(down, AT_RULER, line), edge[0] * mm),
        .size_across_error = size_error(across, 1, edge[1] * mm, edge[3] * mm, plan->width_um / 1000.0),
        .size_down_error = size_error(down, 2, edge[0] * mm, edge[2] * mm, plan->height_um / 1000.0),
        .turn_error_degrees = sqrt(down->spread[1][1] + across->spread[2][2]) / 2 / degree,
        .scatter_mm = fmax(across->scatter, down->scatter),
        .lines = (int)(across->kept + down->kept),
        .stretch_mm = plan->stretch_mm,
        .stretch_down_mm = plan->stretch_down_mm};
}

static bool measure(struct work *work, const struct reader_symbol *symbols, size_t count,
                    struct calibration_measure *measured, struct fault *fault)
{
    struct calibration_symbol label = {0};
    struct calibration_measure fresh;
    if (!find_label(symbols, count, &label, fault) ||
        !calibration_plan_make(label.width_um, label.height_um, label.dpi, &work->plan, fault) ||
        !take_symbols(work, symbols, count, fault))
        return false;
    if (!plane_fit(work->drawn, work->seen, work->corners, &work->print) || !symbols_agree(work))
        return fault_set(fault, FAULT_INPUT,
                         "the symbols do not lie as on one flat calibration label: photograph one alone, flat");
    if (!find_outline(work, fault) || !measure_print(work, fault))
        return false;
    fill(work, &fresh);
    if (!check_size(&fresh, fault))
        return false;
    *measured = fresh;
    return true;
}

bool calibration_measure_make(const struct grey *picture, const struct reader_symbol *symbols, size_t count,
                              struct calibration_measure *measured, struct fault *fault)
{
    struct work *work = calloc(1, sizeof *work);
    if (!work)
        return fault_set(fault, FAULT_STORAGE, "no memory to measure a calibration label: close other programs");
    work->picture = picture;
    const bool done = measure(work, symbols, count, measured, fault);
    free(work);
    return done;
}
