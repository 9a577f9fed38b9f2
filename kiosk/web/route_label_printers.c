#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/print_looks.h"
#include "kiosk/rules/print_trend.h"
#include "kiosk/web/json_rows.h"
#include "labels/quality/quality.h"
#include "labels/quality/streak.h"

/* GET /api/label-printers: how each label printer is calibrated, how its labels came out, whether it drifts from its
 * baseline, and whether its head leaves a streak. */

enum { PRINTERS_MOST = 16, LOOKS_SHOWN = 60 };

/* Newest first. */
struct looks {
    struct print_look list[LOOKS_SHOWN];
    size_t count;
};

struct printers {
    struct label_printer list[PRINTERS_MOST];
    size_t count;
};

static bool keep_printer(const struct label_printer *row, void *context)
{
    struct printers *printers = context;
    printers->list[printers->count++] = *row;
    return printers->count < PRINTERS_MOST;
}

static bool keep_look(const struct print_look *row, void *context)
{
    struct looks *looks = context;
    looks->list[looks->count++] = *row;
    return looks->count < LOOKS_SHOWN;
}

static json_t *printer_json(const struct label_printer *row)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:I}", "printer", row->device, "dpi",
                     json_rows_number(row->dpi), "shift_right", json_rows_number(row->shift_right), "shift_down",
                     json_rows_number(row->shift_down), "module_dots", json_rows_number(row->module_dots), "stretch_mm",
                     json_rows_number(row->stretch_mm), "stretch_um", json_rows_number(row->stretch_um), "size_across",
                     json_rows_number(row->size_across), "size_down", json_rows_number(row->size_down), "calibrated_at",
                     json_rows_instant(row->calibrated_ms), "baseline_from", json_rows_number(row->baseline_seq),
                     "version", (json_int_t)row->version);
}

static json_t *look_json(const struct print_look *row)
{
    return json_pack("{s:I, s:s, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "look", (json_int_t)row->seq, "unit", row->unit, "number", (json_int_t)row->number, "at",
                     json_rows_instant(row->at_ms), "source", json_rows_text(row->source), "edition",
                     json_rows_text(row->edition), "pixels", json_rows_number(row->pixels), "modulation",
                     json_rows_number(row->modulation), "margin", json_rows_number(row->margin), "unused",
                     json_rows_number(row->unused), "fixed", json_rows_number(row->fixed), "axial",
                     json_rows_number(row->axial), "grid", json_rows_number(row->grid), "growth_x",
                     json_rows_number(row->growth_x), "growth_y", json_rows_number(row->growth_y), "contrast",
                     json_rows_number(row->contrast), "from_um", json_rows_number(row->from_um), "to_um",
                     json_rows_number(row->to_um), "marks", json_rows_text(row->marks));
}

static int64_t known(int64_t value)
{
    return value == MOVEMENT_NULL ? PRINT_NOT_MEASURED : value;
}

static struct print_numbers numbers_of(const struct print_look *look)
{
    struct print_numbers numbers = {.at = {[PRINT_MODULATION] = known(look->modulation),
                                           [PRINT_MARGIN] = known(look->margin),
                                           [PRINT_UNUSED] = known(look->unused),
                                           [PRINT_FIXED] = known(look->fixed),
                                           [PRINT_GRID] = known(look->grid),
                                           [PRINT_AXIAL] = known(look->axial),
                                           [PRINT_GROWTH_X] = known(look->growth_x),
                                           [PRINT_GROWTH_Y] = known(look->growth_y),
                                           [PRINT_CONTRAST] = known(look->contrast)}};
    if (numbers.at[PRINT_FIXED] != PRINT_NOT_MEASURED)
        numbers.at[PRINT_FIXED] *= 1000;
    return numbers;
}

static json_t *numbers_json(const struct print_numbers *numbers)
{
    json_t *object = json_object();
    for (enum print_number i = 0; i < PRINT_NUMBERS; i++)
        json_object_set_new(object, print_trend_name(i),
                            numbers->at[i] == PRINT_NOT_MEASURED ? json_null() : json_integer(numbers->at[i]));
    return object;
}

/* The baseline's labels are the oldest of those since it began, and of the newest label's camera: two do not compare.
 */
static json_t *trend_json(const struct looks *looks, const struct looks *baseline)
{
    struct print_numbers first[PRINT_TREND_LOOKS], newest[LOOKS_SHOWN];
    const char *source = looks->count > 0 ? looks->list[0].source : "";
    size_t first_count = 0, newest_count = 0;
    int64_t last = 0; /* number of the baseline's last look */
    struct print_trend trend;
    for (size_t i = 0; i < baseline->count && first_count < PRINT_TREND_LOOKS; i++)
        if (strcmp(baseline->list[i].source, source) == 0) {
            first[first_count++] = numbers_of(&baseline->list[i]);
            last = baseline->list[i].seq;
        }
    for (size_t i = 0; i < looks->count && looks->list[i].seq > last; i++)
        if (strcmp(looks->list[i].source, source) == 0)
            newest[newest_count++] = numbers_of(&looks->list[i]);
    print_trend_make(first, first_count, newest, newest_count, &trend);
    const enum print_number below = newest_count > 0 ? print_trend_below(&newest[0]) : PRINT_NUMBERS;
    return json_pack("{s:b, s:s?, s:s?, s:s, s:o, s:o}", "known", (int)trend.known, "drifted",
                     trend.drifted == PRINT_NUMBERS ? NULL : print_trend_name(trend.drifted), "newest_below",
                     below == PRINT_NUMBERS ? NULL : print_trend_name(below), "sentence", trend.text, "baseline",
                     numbers_json(&trend.baseline), "now", numbers_json(&trend.now));
}

static void read_marks(const char *text, struct streak_label *label)
{
    while (*text && label->count < STREAK_MARKS) {
        char *end;
        const long um = strtol(text, &end, 10);
        if (end == text)
            return;
        label->at_mm[label->count++] = (double)um / 1000;
        text = end;
    }
}

static json_t *streak_json(const char *printer, const struct looks *looks)
{
    struct streak_label labels[STREAK_LABELS];
    char sentence[400];
    struct builder out;
    size_t count = 0;
    for (size_t i = 0; i < looks->count && count < STREAK_LABELS; i++) {
        const struct print_look *look = &looks->list[i];
        if (look->from_um == MOVEMENT_NULL || look->to_um == MOVEMENT_NULL || look->to_um <= look->from_um)
            continue;
        labels[count] =
            (struct streak_label){.from_mm = (double)look->from_um / 1000, .to_mm = (double)look->to_um / 1000};
        read_marks(look->marks, &labels[count++]);
    }
    const struct streak streak = streak_find(labels, count);
    if (!streak.found)
        return json_null();
    builder_init(&out, sentence, sizeof sentence);
    builder_addf(
        &out,
        "The head of printer %s leaves a streak at %.0f mm from the left: clean it. Switch the printer off and "
        "let the head cool. Isopropanol is flammable: no flame or spark near it, and follow its SDS, your "
        "local rules and the maker's instructions.",
        printer, streak.at_mm);
    return json_pack("{s:f, s:i, s:i, s:f, s:s}", "at_mm", streak.at_mm, "shown", (int)streak.shown, "passed",
                     (int)streak.passed, "chance", streak.chance, "sentence", sentence);
}

static bool describe(struct ledger *ledger, const struct label_printer *printer, json_t *row, struct fault *fault)
{
    struct looks *looks = calloc(2, sizeof *looks), *baseline = looks ? &looks[1] : NULL;
    if (!looks)
        return fault_set(fault, FAULT_STORAGE, "no memory to compare labels: try again");
    const bool read =
        print_look_each_newest(ledger, printer->device, LOOKS_SHOWN, keep_look, looks, fault) &&
        print_look_each_from(ledger, printer->device, printer->baseline_seq, LOOKS_SHOWN, keep_look, baseline, fault);
    if (read) {
        json_t *list = json_array();
        for (size_t i = 0; i < looks->count; i++)
            json_array_append_new(list, look_json(&looks->list[i]));
        json_object_set_new(row, "looks", list);
        json_object_set_new(row, "trend", trend_json(looks, baseline));
        json_object_set_new(row, "streak", streak_json(printer->device, looks));
    }
    free(looks);
    return read;
}

static bool read_printers(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct printers printers = {.count = 0};
    json_t *rows = json_array();
    (void)request;
    bool read = label_printer_each(ledger, keep_printer, &printers, fault);
    for (size_t i = 0; read && i < printers.count; i++) {
        json_t *row = printer_json(&printers.list[i]);
        read = describe(ledger, &printers.list[i], row, fault);
        json_array_append_new(rows, row);
    }
    if (read)
        *body = json_pack("{s:s, s:o}", "standing", QUALITY_WORDING, "label_printers", rows);
    else
        json_decref(rows);
    return read;
}

enum MHD_Result route_label_printers_get(struct request *request)
{
    return json_rows_reply(request, read_printers);
}
