#include "kiosk/desk/calibrate.h"

#include <math.h>
#include <stdlib.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/hold.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/print_looks.h"
#include "labels/content/calibration_symbol.h"

enum {
    FIRST_LINE_UM = 5000, /* from the label's edge, as the calibration label says */
    FAR_UM = 10000,       /* no printer is off by so much: the wrong line was measured, or the roll sits wrong */
    LINE_UM_MOST = 1000000,
    UM_A_MM = 1000,
    TOLD_PER_MILLE = 5 /* of a stretch that came out longer or shorter */
};

struct calibration {
    char printer[WORD_SIZE];
    int64_t dpi, left_um, top_um, stretch_mm, stretch_um, module_dots;
};

static bool read_content(const json_t *content, struct calibration *calibration, struct fault *fault)
{
    static const char *const keys[] = {"printer",    "dpi",         "left_mm",     "top_mm",
                                       "stretch_mm", "came_out_mm", "module_dots", NULL};
    const double most = (double)LINE_UM_MOST / UM_A_MM;
    return content_only(content, keys, fault) &&
           content_word(content, "printer", CONTENT_REQUIRED, calibration->printer, sizeof calibration->printer,
                        fault) &&
           content_count(content, "dpi", CONTENT_REQUIRED, 100, 1200, &calibration->dpi, fault) &&
           content_amount(content, "left_mm", most, UM_A_MM, &calibration->left_um, fault) &&
           content_amount(content, "top_mm", most, UM_A_MM, &calibration->top_um, fault) &&
           content_count(content, "stretch_mm", CONTENT_OPTIONAL, 10, 1000, &calibration->stretch_mm, fault) &&
           content_amount(content, "came_out_mm", most, UM_A_MM, &calibration->stretch_um, fault) &&
           content_count(content, "module_dots", CONTENT_OPTIONAL, CALIBRATION_DOTS_MIN, CALIBRATION_DOTS_MAX,
                         &calibration->module_dots, fault);
}

/* What was not measured this time stays as it was, unless that was at another resolution. */
static bool load_before(struct turn *turn, struct calibration *calibration, int64_t *right, int64_t *down,
                        struct fault *fault)
{
    struct label_printer before;
    bool found;
    *right = *down = 0;
    if (!label_printer_load(turn->ledger, calibration->printer, &before, &found, fault))
        return false;
    if (!found || before.dpi != calibration->dpi)
        return true;
    *right = before.shift_right;
    *down = before.shift_down;
    if (calibration->module_dots == MOVEMENT_NULL)
        calibration->module_dots = before.module_dots;
    return true;
}

/* The first line came out `measured` from the edge: so many dots bring it to where it belongs. */
static bool shift_of(const char *edge, int64_t measured_um, int64_t dpi, int64_t *dots, struct fault *fault)
{
    if (measured_um == MOVEMENT_NULL)
        return true;
    const int64_t um = FIRST_LINE_UM - measured_um;
    if (um > FAR_UM || um < -FAR_UM)
        return fault_set(fault, FAULT_INPUT,
                         "%g mm from the label's %s edge to the line 5 is too far off: measure again, and look whether "
                         "the roll sits against its guide",
                         (double)measured_um / UM_A_MM, edge);
    *dots = lround((double)(um * dpi) / 25400);
    return true;
}

static bool write_detail(const struct calibration *calibration, int64_t right, int64_t down, struct movement *movement,
                         struct fault *fault)
{
    json_t *detail = json_pack("{s:I, s:I, s:I}", "dpi", (json_int_t)calibration->dpi, "shift_right", (json_int_t)right,
                               "shift_down", (json_int_t)down);
    if (calibration->module_dots != MOVEMENT_NULL)
        json_object_set_new(detail, "module_dots", json_integer(calibration->module_dots));
    if (calibration->stretch_um != MOVEMENT_NULL) {
        json_object_set_new(detail, "stretch_mm", json_integer(calibration->stretch_mm));
        json_object_set_new(detail, "stretch_um", json_integer(calibration->stretch_um));
    }
    const bool written = movement_detail_write(detail, movement->detail, fault);
    json_decref(detail);
    return written;
}

static void say(struct counter *counter, const struct calibration *calibration, int64_t right, int64_t down)
{
    const int64_t long_mm = calibration->stretch_um == MOVEMENT_NULL ? 0 : calibration->stretch_mm;
    const bool told = long_mm > 0 && llabs(calibration->stretch_um - long_mm * UM_A_MM) > long_mm * TOLD_PER_MILLE;
    if (told)
        counter_say(counter,
                    "%s: labels are moved %lld dots right and %lld down. %lld mm came out %g mm long: labels are never "
                    "scaled, set the length at the printer.",
                    calibration->printer, (long long)right, (long long)down, (long long)calibration->stretch_mm,
                    (double)calibration->stretch_um / UM_A_MM);
    else
        counter_say(counter, "%s: labels are moved %lld dots right and %lld down.", calibration->printer,
                    (long long)right, (long long)down);
}

bool calibrate_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct calibration calibration;
    struct movement movement;
    int64_t right, down;
    movement_init(&movement, MOVEMENT_CALIBRATION);
    if (!turn_begin(context, &turn, fault) || !read_content(context->act->content, &calibration, fault) ||
        !hold_needs_storekeeper(&turn, "calibrates label printers", fault))
        return false;
    if ((calibration.stretch_mm == MOVEMENT_NULL) != (calibration.stretch_um == MOVEMENT_NULL))
        return fault_set(fault, FAULT_INPUT,
                         "'stretch_mm' and 'came_out_mm' go together: how long it should be, and how long it came out");
    if (!load_before(&turn, &calibration, &right, &down, fault) ||
        !shift_of("left", calibration.left_um, calibration.dpi, &right, fault) ||
        !shift_of("top", calibration.top_um, calibration.dpi, &down, fault) ||
        !write_detail(&calibration, right, down, &movement, fault))
        return false;
    turn_copy(movement.word, sizeof movement.word, calibration.printer);
    if (!turn_book(&turn, &movement, fault))
        return false;
    say(&turn.counter, &calibration, right, down);
    return turn_answer(&turn, answer, fault);
}
