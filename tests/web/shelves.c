#include "tests/web/shelves.h"

#include <stdio.h>
#include <string.h>

#include "kiosk/ledger/tables.h"
#include "kiosk/ledger/unit.h"
#include "labels/basics/calendar.h"
#include "labels/basics/text.h"

enum { LATER = 22430, LONG_PAST = 11323 }; /* 2031-05-31, 2001-01-01 */

static bool put_item(struct ledger *ledger, const char *code, char letter, const char *name, const char *resin,
                     struct fault *fault)
{
    struct item item = {.letter = letter,
                        .content_ul = MOVEMENT_NULL,
                        .minimum_days = MOVEMENT_NULL,
                        .life_minutes = MOVEMENT_NULL,
                        .version = 1};
    return span_copy(span_of(code), item.code, sizeof item.code) &&
           span_copy(span_of(name), item.name, sizeof item.name) &&
           span_copy(span_of(resin), item.resin, sizeof item.resin) && item_save(ledger, &item, fault);
}

static bool put_place(struct ledger *ledger, const char *code, struct fault *fault)
{
    struct place place = {.kind = "shelf", .version = 1};
    return span_copy(span_of(code), place.code, sizeof place.code) && place_save(ledger, &place, fault);
}

static bool put_places(struct ledger *ledger, struct fault *fault)
{
    for (int i = 0; i < SHELVES_PLACES; i++) {
        char code[PLACE_SIZE];
        snprintf(code, sizeof code, "S-%04d", i);
        if (!put_place(ledger, code, fault))
            return false;
    }
    return put_place(ledger, "B-01", fault) && put_place(ledger, "B-02", fault);
}

static bool put_label(struct ledger *ledger, const char *unit, int64_t number, enum print_state state,
                      struct fault *fault)
{
    struct print print = {.number = number,
                          .state = state,
                          .device_job = MOVEMENT_NULL,
                          .ordered_seq = number,
                          .rank = number,
                          .version = 1};
    return span_copy(span_of(unit), print.unit, sizeof print.unit) && print_save(ledger, &print, fault);
}

static bool put_units(struct ledger *ledger, struct fault *fault)
{
    static const struct unit units[] = {
        {.serial = "C1000001",
         .item = "KELP",
         .lot = "K1",
         .place = "B-01",
         .delivery = "D-7",
         .labelled = true,
         .expires = LATER},
        {.serial = "C1000002",
         .item = "KELP",
         .lot = "K1",
         .place = "B-01",
         .hold = "damaged",
         .labelled = true,
         .expires = LATER},
        {.serial = "C1000003", .item = "KELP", .lot = "K1", .delivery = "D-7", .expires = LATER},
        {.serial = "C1000004",
         .item = "KELP",
         .lot = "K1",
         .status = UNIT_OUT,
         .holder = "H1000001",
         .printer = "SPINDLE",
         .labelled = true,
         .expires = LATER},
        {.serial = "C1000005", .item = "KELP", .lot = "K2", .place = "B-02", .labelled = true, .expires = LONG_PAST},
        {.serial = "C1000006", .item = "KELP", .lot = "K1", .status = UNIT_GONE, .labelled = true, .expires = LATER},
        {.serial = "C1000007", .item = "KELP", .lot = "K1", .status = UNIT_VOID, .delivery = "D-7", .expires = LATER},
        {.serial = "V1000001", .item = "VAT-S", .place = "B-01", .labelled = true, .expires = MOVEMENT_NULL},
        {.serial = "V1000002", .item = "VAT-S", .status = UNIT_RETIRED, .labelled = true, .expires = MOVEMENT_NULL},
    };
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        struct unit unit = units[i];
        unit.filled = unit.minutes = unit.out_since_ms = MOVEMENT_NULL;
        unit.due = MOVEMENT_NULL;
        unit.amount_ul = unit.serial[0] == 'C' ? 1000000 : MOVEMENT_NULL;
        unit.version = 1;
        if (!unit_save(ledger, &unit, fault))
            return false;
    }
    return put_label(ledger, "C1000003", 1, PRINT_FAILED, fault) && put_label(ledger, "C1000003", 2, PRINT_SENT, fault);
}

bool shelves_fill(struct ledger *ledger, struct fault *fault)
{
    const struct delivery delivery = {.id = "D-7", .supplier = "Gannet Supply", .open = true, .version = 1};
    return put_item(ledger, "KELP", 'C', "Kelp cartridge", "Kelp", fault) &&
           put_item(ledger, "VAT-S", 'V', "Small vat", "", fault) && put_places(ledger, fault) &&
           delivery_save(ledger, &delivery, fault) && put_units(ledger, fault);
}

bool shelves_fill_lent(struct ledger *ledger, struct fault *fault)
{
    static const struct {
        const char *serial, *place;
        int64_t due;
    } lent[] = {{"C2000001", "ANNEX", LATER},
                {"C2000002", "ANNEX", MOVEMENT_NULL},
                {"C2000003", "ANNEX", LONG_PAST},
                {"C2000004", "", LONG_PAST + 1},
                {"C2000005", "B-02", MOVEMENT_NULL}};
    struct place annex = {.code = "ANNEX", .kind = "room", .version = 1};
    if (!place_save(ledger, &annex, fault))
        return false;
    for (size_t i = 0; i < sizeof lent / sizeof *lent; i++) {
        struct unit unit = {.item = "KELP",
                            .lot = "K1",
                            .status = lent[i].place[0] == 'B' ? UNIT_IN : UNIT_OUT,
                            .expires = LATER,
                            .due = lent[i].due,
                            .labelled = true,
                            .version = 1};
        (void)span_copy(span_of(lent[i].serial), unit.serial, sizeof unit.serial);
        (void)span_copy(span_of(lent[i].place), unit.place, sizeof unit.place);
        if (!unit_save(ledger, &unit, fault))
            return false;
    }
    return true;
}

bool shelves_fill_lots(struct ledger *ledger, struct fault *fault)
{
    if (!put_item(ledger, "OAK", 'C', "Oak cartridge", "Oak", fault))
        return false;
    for (int i = 0; i < SHELVES_LOTS; i++) {
        struct unit unit = {.item = "OAK",
                            .filled = MOVEMENT_NULL,
                            .expires = LATER,
                            .amount_ul = 1000000,
                            .minutes = MOVEMENT_NULL,
                            .out_since_ms = MOVEMENT_NULL,
                            .version = 1};
        snprintf(unit.serial, sizeof unit.serial, "C2%06d", i);
        snprintf(unit.lot, sizeof unit.lot, "LOT-%d", i);
        if (!unit_save(ledger, &unit, fault))
            return false;
    }
    return true;
}

bool shelves_fill_labels(struct ledger *ledger, struct fault *fault)
{
    static const struct print labels[] = {
        {.unit = "V1000001",
         .number = 3,
         .state = PRINT_WAITING,
         .ordered_seq = 40,
         .rank = -50,
         .batch = "reprint-0001"},
        {.unit = "C1000001",
         .number = 2,
         .state = PRINT_WAITING,
         .ordered_seq = 20,
         .rank = 20,
         .batch = "receipt-0001"},
        {.unit = "C1000002",
         .number = 2,
         .state = PRINT_WAITING,
         .ordered_seq = 21,
         .rank = 21,
         .batch = "receipt-0001"},
        {.place = "S-0001", .number = 1, .state = PRINT_WAITING, .ordered_seq = 25, .rank = 25},
        {.unit = "C1000004", .number = 2, .state = PRINT_FAILED, .ordered_seq = 30, .rank = 30},
        {.place = "S-0002", .number = 1, .state = PRINT_UNKNOWN, .ordered_seq = 31, .rank = 31},
        {.unit = "H1000001", .number = 1, .state = PRINT_PRINTED, .ordered_seq = 32, .rank = 32},
        {.unit = "C1000005", .number = 2, .state = PRINT_WITHDRAWN, .ordered_seq = 33, .rank = 33},
        {.unit = "C1000006", .number = 1, .state = PRINT_FAILED, .ordered_seq = 34, .rank = 34},
        {.unit = "C1000007", .number = 1, .state = PRINT_PRINTED, .ordered_seq = 35, .rank = 35},
    };
    for (size_t i = 0; i < sizeof labels / sizeof *labels; i++) {
        struct print label = labels[i];
        label.device_job = MOVEMENT_NULL;
        label.ordered_ms = label.ordered_seq * 1000;
        label.version = 1;
        if (!print_save(ledger, &label, fault))
            return false;
    }
    return true;
}
