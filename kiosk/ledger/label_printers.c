#include <stddef.h>

#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field PRINTER_LIST[] = {
    ROW_FIELD(TEXT, label_printer, device),        ROW_FIELD(WHOLE, label_printer, dpi),
    ROW_FIELD(WHOLE, label_printer, shift_right),  ROW_FIELD(WHOLE, label_printer, shift_down),
    ROW_FIELD(WHOLE, label_printer, module_dots),  ROW_FIELD(WHOLE, label_printer, stretch_mm),
    ROW_FIELD(WHOLE, label_printer, stretch_um),   ROW_FIELD(WHOLE, label_printer, size_across),
    ROW_FIELD(WHOLE, label_printer, size_down),    ROW_FIELD(WHOLE, label_printer, calibrated_ms),
    ROW_FIELD(WHOLE, label_printer, baseline_seq), ROW_FIELD(WHOLE, label_printer, version),
};
static const struct row_fields PRINTER_FIELDS = ROW_FIELDS("label_printer", PRINTER_LIST);

#define PRINTER_COLUMNS                                                                                                \
    "device, dpi, shift_right, shift_down, module_dots, stretch_mm, stretch_um, size_across, size_down,"               \
    " calibrated_ms, baseline_seq, version"
static const struct sql_text PRINTER_SAVE = {
    "INSERT INTO label_printer (" PRINTER_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)"
    " ON CONFLICT (device) DO UPDATE SET dpi = excluded.dpi, shift_right = excluded.shift_right,"
    " shift_down = excluded.shift_down, module_dots = excluded.module_dots, stretch_mm = excluded.stretch_mm,"
    " stretch_um = excluded.stretch_um, size_across = excluded.size_across, size_down = excluded.size_down,"
    " calibrated_ms = excluded.calibrated_ms, baseline_seq = excluded.baseline_seq, version = excluded.version WHERE "
    "label_printer.version <= excluded.version",
    "tiiiiiiiiiii"};
static const struct sql_text PRINTER_LOAD = {"SELECT " PRINTER_COLUMNS " FROM label_printer WHERE device = $1", "t"};
static const struct sql_text PRINTER_EACH = {"SELECT " PRINTER_COLUMNS " FROM label_printer ORDER BY device", ""};

bool label_printer_save(struct ledger *ledger, const struct label_printer *row, struct fault *fault)
{
    return row_save(ledger, &PRINTER_SAVE, &PRINTER_FIELDS, row, fault);
}

bool label_printer_load(struct ledger *ledger, const char *device, struct label_printer *row, bool *found,
                        struct fault *fault)
{
    return row_load(ledger, &PRINTER_LOAD, ROW_KEYS({.text = device}), &PRINTER_FIELDS, row, sizeof *row, found, fault);
}

bool label_printer_each(struct ledger *ledger, label_printer_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct label_printer row;
    if (!row_walk_start(&walk, ledger, &PRINTER_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &PRINTER_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
