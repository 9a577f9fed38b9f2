#include "tests/web/label_rows.h"

#include <string.h>

#include "kiosk/ledger/tables.h"
#include "labels/content/unit_label.h"

static bool put_printer(struct ledger *ledger, const char *device, bool calibrated, struct fault *fault)
{
    struct label_printer row = {.dpi = calibrated ? 203 : MOVEMENT_NULL,
                                .shift_right = calibrated ? 8 : 0,
                                .module_dots = calibrated ? 3 : MOVEMENT_NULL,
                                .stretch_mm = MOVEMENT_NULL,
                                .stretch_um = MOVEMENT_NULL,
                                .size_across = MOVEMENT_NULL,
                                .size_down = MOVEMENT_NULL,
                                .calibrated_ms = calibrated ? 1772445600000 : MOVEMENT_NULL,
                                .baseline_seq = 1,
                                .version = 1};
    return span_copy(span_of(device), row.device, sizeof row.device) && label_printer_save(ledger, &row, fault);
}

static bool put_look(struct ledger *ledger, const char *device, int64_t seq, bool pale, struct fault *fault)
{
    struct print_look row = {.seq = seq,
                             .unit = "C0000017",
                             .number = 1,
                             .at_ms = 1772445600000 + seq,
                             .source = "desk-camera",
                             .pixels = 8000,
                             .modulation = pale ? 300 : 620,
                             .margin = 550,
                             .axial = 20,
                             .grid = MOVEMENT_NULL,
                             .unused = 1000,
                             .fixed = 4,
                             .contrast = 800,
                             .from_um = 25000,
                             .to_um = 36000,
                             .version = seq};
    if (pale)
        memcpy(row.marks, "31050", sizeof "31050");
    return span_copy(span_of(device), row.device, sizeof row.device) && print_look_save(ledger, &row, fault);
}

static bool put_label(struct ledger *ledger, struct fault *fault)
{
    struct print row = {.number = 1,
                        .state = PRINT_SENT,
                        .label_template = "cartridge",
                        .device = "front",
                        .device_job = MOVEMENT_NULL,
                        .ordered_seq = 1,
                        .version = 1};
    long number = LABEL_ROWS_NUMBER;
    while (!serial_write('C', number, row.unit))
        number++;
    return print_save(ledger, &row, fault);
}

bool label_rows_fill(struct ledger *ledger, struct fault *fault)
{
    for (int64_t i = 1; i <= (int64_t)2 * LABEL_ROWS_GOOD; i++)
        if (!put_look(ledger, "front", i, i > LABEL_ROWS_GOOD, fault))
            return false;
    return put_printer(ledger, "front", true, fault) && put_printer(ledger, "back", false, fault) &&
           put_look(ledger, "back", 100, false, fault) && put_label(ledger, fault);
}
