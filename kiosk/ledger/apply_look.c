#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* Label printers: what they were calibrated to, and how their labels came out. */

static bool load_printer(const struct movement *movement, const struct apply_store *store, struct label_printer *row,
                         struct fault *fault)
{
    bool found = false;
    struct label_printer fresh = {.dpi = MOVEMENT_NULL,
                                  .module_dots = MOVEMENT_NULL,
                                  .stretch_mm = MOVEMENT_NULL,
                                  .stretch_um = MOVEMENT_NULL,
                                  .size_across = MOVEMENT_NULL,
                                  .size_down = MOVEMENT_NULL,
                                  .calibrated_ms = MOVEMENT_NULL,
                                  .baseline_seq = movement->seq};
    memcpy(fresh.device, movement->word, sizeof fresh.device);
    *row = fresh;
    return apply_needs(movement, movement->word, "label printer", fault) &&
           store->load_label_printer(store->context, row, &found, fault);
}

struct number {
    const char *key;
    int64_t *to, least, most;
    bool needed;
};

static bool read_numbers(const struct movement *movement, const json_t *object, const struct number *numbers,
                         size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        int64_t value = MOVEMENT_NULL;
        if (!movement_detail_number(object, numbers[i].key, &value, fault))
            return false;
        if (value == MOVEMENT_NULL ? numbers[i].needed : value < numbers[i].least || value > numbers[i].most)
            return fault_set(fault, FAULT_REFUSED, "a %s needs '%s' from %lld to %lld: say it again",
                             movement_kind_word(movement->kind), numbers[i].key, (long long)numbers[i].least,
                             (long long)numbers[i].most);
        *numbers[i].to = value;
    }
    return true;
}

bool apply_calibration(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct label_printer row;
    json_t *object = NULL;
    if (!load_printer(movement, store, &row, fault) || !movement_detail_read(movement->detail, &object, fault))
        return false;
    const int64_t small = CALIBRATION_SIZE_ONE - CALIBRATION_SIZE_OFF_MOST;
    const int64_t large = CALIBRATION_SIZE_ONE + CALIBRATION_SIZE_OFF_MOST;
    const struct number numbers[] = {
        {"dpi", &row.dpi, 1, 9999, true},
        {"shift_right", &row.shift_right, -CALIBRATION_SHIFT_MOST, CALIBRATION_SHIFT_MOST, true},
        {"shift_down", &row.shift_down, -CALIBRATION_SHIFT_MOST, CALIBRATION_SHIFT_MOST, true},
        {"module_dots", &row.module_dots, 1, 99, false},
        {"stretch_mm", &row.stretch_mm, 1, 1000, false},
        {"stretch_um", &row.stretch_um, 1, 1000000, false},
        {"size_across", &row.size_across, small, large, false},
        {"size_down", &row.size_down, small, large, false},
    };
    const bool read = read_numbers(movement, object, numbers, sizeof numbers / sizeof *numbers, fault);
    json_decref(object);
    row.calibrated_ms = movement->at.ms;
    row.baseline_seq = movement->seq; /* it prints differently from now on */
    row.version = movement->seq;
    return read && store->save_label_printer(store->context, &row, fault);
}

bool apply_print_baseline(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct label_printer row;
    if (!load_printer(movement, store, &row, fault))
        return false;
    if (movement->refers != MOVEMENT_NULL && (movement->refers < 1 || movement->refers > movement->seq))
        return fault_set(fault, FAULT_REFUSED, "a baseline cannot begin with movement %lld: name a look",
                         (long long)movement->refers);
    row.baseline_seq = movement->refers == MOVEMENT_NULL ? movement->seq : movement->refers;
    row.version = movement->seq;
    return store->save_label_printer(store->context, &row, fault);
}

static bool read_look(const struct movement *movement, const json_t *object, struct print_look *row,
                      struct fault *fault)
{
    const int64_t most = 1000000; /* thousandths: a thousand of anything that is measured */
    const struct number numbers[] = {
        {"number", &row->number, 1, INT32_MAX, true},     {"pixels", &row->pixels, 0, most, true},
        {"modulation", &row->modulation, 0, most, false}, {"margin", &row->margin, 0, most, false},
        {"axial", &row->axial, 0, most, false},           {"grid", &row->grid, 0, most, false},
        {"unused", &row->unused, 0, most, false},         {"fixed", &row->fixed, 0, 4, false},
        {"growth_x", &row->growth_x, -most, most, false}, {"growth_y", &row->growth_y, -most, most, false},
        {"contrast", &row->contrast, 0, most, false},     {"from_um", &row->from_um, -most, most, false},
        {"to_um", &row->to_um, -most, most, false},
    };
    return read_numbers(movement, object, numbers, sizeof numbers / sizeof *numbers, fault) &&
           movement_detail_text(object, "unit", row->unit, sizeof row->unit, fault) &&
           movement_detail_text(object, "source", row->source, sizeof row->source, fault) &&
           movement_detail_text(object, "marks", row->marks, sizeof row->marks, fault) &&
           movement_detail_text(object, "edition", row->edition, sizeof row->edition, fault);
}

bool apply_print_look(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct label_printer printer;
    struct print_look row = {.seq = movement->seq, .at_ms = movement->at.ms, .version = movement->seq};
    struct print print = {.number = 0};
    json_t *object = NULL;
    bool found = false;
    if (!load_printer(movement, store, &printer, fault) || !movement_detail_read(movement->detail, &object, fault))
        return false;
    const bool read = read_look(movement, object, &row, fault);
    json_decref(object);
    if (!read)
        return false;
    memcpy(row.device, movement->word, sizeof row.device);
    memcpy(print.unit, row.unit, sizeof print.unit);
    print.number = row.number;
    if (!store->load_print(store->context, &print, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_REFUSED, "label %lld of '%s' was never ordered here: it cannot be looked at",
                         (long long)row.number, row.unit);
    printer.version = movement->seq;
    return store->save_label_printer(store->context, &printer, fault) &&
           store->save_print_look(store->context, &row, fault);
}
