#include "kiosk/desk/calibrate.h"

#include <math.h>
#include <stdio.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/print_looks.h"
#include "labels/content/calibration_symbol.h"

enum {
    FIRST_LINE_UM = 5000, /* from the label's edge, as the calibration label says */
    FAR_UM = 10000,       /* no printer is off by so much: the wrong line was measured, or the roll sits wrong */
    LINE_UM_MOST = 1000000,
    UM_A_MM = 1000,
    UM_AN_INCH = 25400
};

/* One axis: across the head, or along the feed. */
struct axis {
    const char *edge, *ruler, *way[2]; /* words for people; way: moved by more than nothing, by less */
    int64_t from_edge_um;              /* as measured: from the edge to line 5 */
    int64_t stretch_mm, stretch_um;    /* as measured: so long it should be, and so long it came out */
    int64_t shift, size;               /* what becomes of it: dots; how long CALIBRATION_SIZE_ONE comes out */
};

struct calibration {
    char printer[WORD_SIZE];
    int64_t dpi, module_dots;
    struct axis across, down;
};

static bool read_content(const json_t *content, struct calibration *calibration, struct fault *fault)
{
    static const char *const keys[] = {"printer",     "dpi",         "left_mm",         "top_mm",
                                       "stretch_mm",  "came_out_mm", "stretch_down_mm", "came_out_down_mm",
                                       "module_dots", NULL};
    const double most = (double)LINE_UM_MOST / UM_A_MM;
    struct axis *const across = &calibration->across, *const down = &calibration->down;
    return content_only(content, keys, fault) &&
           content_word(content, "printer", CONTENT_REQUIRED, calibration->printer, sizeof calibration->printer,
                        fault) &&
           content_count(content, "dpi", CONTENT_REQUIRED, 100, 1200, &calibration->dpi, fault) &&
           content_amount(content, "left_mm", most, UM_A_MM, &across->from_edge_um, fault) &&
           content_amount(content, "top_mm", most, UM_A_MM, &down->from_edge_um, fault) &&
           content_count(content, "stretch_mm", CONTENT_OPTIONAL, 10, 1000, &across->stretch_mm, fault) &&
           content_amount(content, "came_out_mm", most, UM_A_MM, &across->stretch_um, fault) &&
           content_count(content, "stretch_down_mm", CONTENT_OPTIONAL, 10, 1000, &down->stretch_mm, fault) &&
           content_amount(content, "came_out_down_mm", most, UM_A_MM, &down->stretch_um, fault) &&
           content_count(content, "module_dots", CONTENT_OPTIONAL, CALIBRATION_DOTS_MIN, CALIBRATION_DOTS_MAX,
                         &calibration->module_dots, fault);
}

static int64_t known_size(int64_t size)
{
    return size == MOVEMENT_NULL ? CALIBRATION_SIZE_ONE : size;
}

/* What was not measured this time stays as it was, unless that was at another resolution. */
static bool load_before(struct turn *turn, struct calibration *calibration, struct fault *fault)
{
    struct label_printer before;
    bool found;
    if (!label_printer_load(turn->ledger, calibration->printer, &before, &found, fault))
        return false;
    if (!found || before.dpi != calibration->dpi)
        return true;
    calibration->across.shift = before.shift_right;
    calibration->down.shift = before.shift_down;
    calibration->across.size = known_size(before.size_across);
    calibration->down.size = known_size(before.size_down);
    if (calibration->module_dots == MOVEMENT_NULL)
        calibration->module_dots = before.module_dots;
    return true;
}

static bool find_size(struct axis *axis, struct fault *fault)
{
    if ((axis->stretch_mm == MOVEMENT_NULL) != (axis->stretch_um == MOVEMENT_NULL))
        return fault_set(fault, FAULT_INPUT,
                         "of the %s ruler two numbers go together: how long a stretch should be, and how long it came "
                         "out",
                         axis->ruler);
    if (axis->stretch_um == MOVEMENT_NULL)
        return true;
    const double size = (double)axis->stretch_um * CALIBRATION_SIZE_ONE / (double)(axis->stretch_mm * UM_A_MM);
    if (fabs(size - CALIBRATION_SIZE_ONE) > CALIBRATION_SIZE_OFF_MOST)
        return fault_set(fault, FAULT_INPUT,
                         "%lld mm of the %s ruler that came out %g mm long are more than %d %% off: measure again, "
                         "from line 5 to the other long line",
                         (long long)axis->stretch_mm, axis->ruler, (double)axis->stretch_um / UM_A_MM,
                         CALIBRATION_SIZE_OFF_MOST * 100 / CALIBRATION_SIZE_ONE);
    axis->size = llround(size);
    return true;
}

/* Line 5 came out so far from the edge, and belongs at 5 mm of the printer's own: as many of its dots as lie between
 * bring it, and everything, to where it belongs. */
static bool find_shift(struct axis *axis, int64_t dpi, struct fault *fault)
{
    if (axis->from_edge_um == MOVEMENT_NULL)
        return true;
    const double size = (double)axis->size / CALIBRATION_SIZE_ONE;
    const double um = FIRST_LINE_UM * size - (double)axis->from_edge_um;
    if (fabs(um) > FAR_UM)
        return fault_set(fault, FAULT_INPUT,
                         "%g mm from the label's %s edge to the line 5 is too far off: measure again, and look whether "
                         "the roll sits against its guide",
                         (double)axis->from_edge_um / UM_A_MM, axis->edge);
    axis->shift = llround(um * (double)dpi / (UM_AN_INCH * size));
    return true;
}

static bool find_axis(struct axis *axis, int64_t dpi, struct fault *fault)
{
    return find_size(axis, fault) && find_shift(axis, dpi, fault);
}

static bool write_detail(const struct calibration *calibration, struct movement *movement, struct fault *fault)
{
    const struct axis *const across = &calibration->across, *const down = &calibration->down;
    json_t *detail = json_pack("{s:I, s:I, s:I, s:I, s:I}", "dpi", (json_int_t)calibration->dpi, "shift_right",
                               (json_int_t)across->shift, "shift_down", (json_int_t)down->shift, "size_across",
                               (json_int_t)across->size, "size_down", (json_int_t)down->size);
    if (calibration->module_dots != MOVEMENT_NULL)
        json_object_set_new(detail, "module_dots", json_integer(calibration->module_dots));
    const bool written = movement_detail_write(detail, movement->detail, fault);
    json_decref(detail);
    return written;
}

/* "8 dots right", "1.2 % long" */
static const char *moved(const struct axis *axis, char words[40])
{
    const long long dots = axis->shift < 0 ? -axis->shift : axis->shift;
    (void)snprintf(words, 40, "%lld dots %s", dots, axis->way[axis->shift < 0]);
    return words;
}

static const char *long_or_short(const struct axis *axis, char words[40])
{
    const double percent = (double)(axis->size - CALIBRATION_SIZE_ONE) * 100 / CALIBRATION_SIZE_ONE;
    if (percent == 0)
        return "as long as it should";
    (void)snprintf(words, 40, "%.2f %% %s", fabs(percent), percent > 0 ? "long" : "short");
    return words;
}

static void say(struct counter *counter, const struct calibration *calibration)
{
    char right[40], down[40], wide[40], high[40];
    counter_say(counter, "%s: labels are moved %s and %s, and drawn for a print that comes out %s across, %s down.",
                calibration->printer, moved(&calibration->across, right), moved(&calibration->down, down),
                long_or_short(&calibration->across, wide), long_or_short(&calibration->down, high));
}

bool calibrate_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct movement movement;
    struct calibration calibration = {
        .across = {.edge = "left", .ruler = "upper", .way = {"right", "left"}, .size = CALIBRATION_SIZE_ONE},
        .down = {.edge = "top", .ruler = "left", .way = {"down", "up"}, .size = CALIBRATION_SIZE_ONE}};
    movement_init(&movement, MOVEMENT_CALIBRATION);
    if (!turn_begin(context, &turn, fault) || !read_content(context->act->content, &calibration, fault) ||
        !load_before(&turn, &calibration, fault) || !find_axis(&calibration.across, calibration.dpi, fault) ||
        !find_axis(&calibration.down, calibration.dpi, fault) || !write_detail(&calibration, &movement, fault))
        return false;
    turn_copy(movement.word, sizeof movement.word, calibration.printer);
    if (!turn_book(&turn, &movement, fault))
        return false;
    say(&turn.counter, &calibration);
    return turn_answer(&turn, answer, fault);
}
