#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* What happens to one labelled thing. */

/* Resin sits in a cartridge or bottle from the start; a vat gets it by a fill. */
static bool holds_its_own_item(char letter)
{
    return letter == 'C' || letter == 'R';
}

static bool is_vat(char letter)
{
    return letter == 'V' || letter == 'T';
}

/* Things that wear: they come with no light hours on them. */
static bool wears(char letter)
{
    return letter == 'V' || letter == 'T' || letter == 'P';
}

static bool check_item(const struct movement *movement, char letter, const struct apply_store *store,
                       struct fault *fault)
{
    struct item item = {0};
    bool found = false;
    memcpy(item.code, movement->item, sizeof item.code);
    if (!store->load_item(store->context, &item, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_REFUSED, "item '%s' is not in the catalogue: add it first", movement->item);
    if (letter && item.letter != letter)
        return fault_set(fault, FAULT_REFUSED, "serial %s does not suit item '%s': its units begin with %c",
                         movement->unit, movement->item, item.letter);
    return true;
}

static bool check_new(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    char letter = '\0';
    long number = 0;
    struct unit unit = {0};
    bool found = false;
    if (!apply_needs(movement, movement->unit, "unit", fault) ||
        !apply_needs(movement, movement->item, "item", fault) ||
        !serial_read(span_of(movement->unit), &letter, &number, fault))
        return false;
    if (letter == 'H')
        return fault_set(fault, FAULT_REFUSED, "'%s' is a badge: a person is not stock", movement->unit);
    memcpy(unit.serial, movement->unit, sizeof unit.serial);
    if (!store->load_unit(store->context, &unit, &found, fault))
        return false;
    if (found)
        return fault_set(fault, FAULT_REFUSED, "unit %s is in the ledger already: a serial is given once",
                         movement->unit);
    return check_item(movement, letter, store, fault) && apply_check_place(movement, store, fault) &&
           apply_check_delivery(movement, store, fault);
}

struct unit apply_blank_unit(const char serial[SERIAL_SIZE], const char item[ITEM_CODE_SIZE], enum unit_status status)
{
    struct unit unit = {.status = status,
                        .filled = MOVEMENT_NULL,
                        .expires = MOVEMENT_NULL,
                        .amount_ul = MOVEMENT_NULL,
                        .minutes = MOVEMENT_NULL,
                        .out_since_ms = MOVEMENT_NULL,
                        .first_filled = MOVEMENT_NULL,
                        .opened = MOVEMENT_NULL,
                        .tare_dg = MOVEMENT_NULL,
                        .reserved_until = MOVEMENT_NULL,
                        .due = MOVEMENT_NULL,
                        .stood_ms = MOVEMENT_NULL,
                        .inspected_minutes = MOVEMENT_NULL,
                        .surface_minutes = MOVEMENT_NULL};
    memcpy(unit.serial, serial, sizeof unit.serial);
    memcpy(unit.item, item, sizeof unit.item);
    return unit;
}

static struct unit unit_of(const struct movement *movement)
{
    struct unit unit = apply_blank_unit(movement->unit, movement->item, UNIT_IN);
    unit.version = movement->seq;
    if (holds_its_own_item(unit.serial[0]))
        memcpy(unit.resin, movement->item, sizeof unit.resin);
    memcpy(unit.lot, movement->lot, sizeof unit.lot);
    memcpy(unit.place, movement->place, sizeof unit.place);
    memcpy(unit.delivery, movement->delivery, sizeof unit.delivery);
    memcpy(unit.hold, movement->word, sizeof unit.hold);
    unit.filled = movement->filled;
    unit.expires = movement->expires;
    unit.amount_ul = movement->amount_ul;
    unit.minutes = movement->minutes;
    return unit;
}

/* A lot expires when its earliest unit does: what was said later never makes it younger. */
static bool save_lot(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct lot row = {.expires = MOVEMENT_NULL};
    bool found = false;
    if (!movement->lot[0])
        return true;
    memcpy(row.item, movement->item, sizeof row.item);
    memcpy(row.lot, movement->lot, sizeof row.lot);
    if (!store->load_lot(store->context, &row, &found, fault))
        return false;
    if (!found)
        row.expires = MOVEMENT_NULL;
    if (movement->expires != MOVEMENT_NULL && (row.expires == MOVEMENT_NULL || movement->expires < row.expires))
        row.expires = movement->expires;
    row.version = movement->seq;
    return store->save_lot(store->context, &row, fault);
}

bool apply_receipt(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    if (!check_new(movement, store, fault))
        return false;
    struct unit unit = unit_of(movement);
    unit.minutes = wears(unit.serial[0]) ? 0 : MOVEMENT_NULL;
    apply_note_rest(movement, &unit);
    return store->save_unit(store->context, &unit, fault) && save_lot(movement, store, fault);
}

bool apply_take_on(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    if ((movement->word[0] && !apply_check_word(movement, "clear fogged dented bits leaking", fault)) ||
        !check_new(movement, store, fault))
        return false;
    struct unit unit = unit_of(movement);
    unit.hold[0] = '\0';
    memcpy(unit.film, movement->word, sizeof unit.film);
    return store->save_unit(store->context, &unit, fault) && save_lot(movement, store, fault);
}

static bool save(struct unit *unit, const struct movement *movement, const struct apply_store *store,
                 struct fault *fault)
{
    unit->version = movement->seq;
    return store->save_unit(store->context, unit, fault);
}

/* Back in storage, out of every hand. */
static void put_in(struct unit *unit, const char place[PLACE_SIZE])
{
    unit->status = UNIT_IN;
    memcpy(unit->place, place, sizeof unit->place);
    unit->holder[0] = unit->printer[0] = unit->job[0] = '\0';
    unit->out_since_ms = unit->due = MOVEMENT_NULL;
}

static bool refuse_status(const struct unit *unit, const char *wanted, const char *next, struct fault *fault)
{
    return fault_set(fault, FAULT_REFUSED, "unit %s is %s, not %s: %s", unit->serial, unit_status_word(unit->status),
                     wanted, next);
}

bool apply_put_away(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault) ||
        !apply_needs(movement, movement->place, "place", fault) || !apply_check_place(movement, store, fault))
        return false;
    if (unit.status != UNIT_IN)
        return refuse_status(&unit, "in", "check it in first", fault);
    put_in(&unit, movement->place);
    return save(&unit, movement, store, fault);
}

bool apply_fill(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault) ||
        !apply_needs(movement, movement->item, "resin", fault) || !check_item(movement, '\0', store, fault))
        return false;
    if (unit.serial[0] == 'P')
        return fault_set(fault, FAULT_REFUSED, "unit %s is a build platform and holds no resin: scan the vat",
                         unit.serial);
    memcpy(unit.resin, movement->item, sizeof unit.resin);
    memcpy(unit.lot, movement->lot, sizeof unit.lot);
    unit.filled = movement->filled;
    if (movement->expires != MOVEMENT_NULL)
        unit.expires = movement->expires;
    unit.amount_ul = movement->amount_ul;
    unit.estimated = false;
    return apply_mix_set(movement, "", store, fault) && save(&unit, movement, store, fault);
}

/* How much runs is not known here, so no row changes: the movement is what a lot is traced by (trace.h). */
bool apply_supply(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit vat, cartridge = {.serial = "C"};
    struct movement from = *movement;
    memcpy(from.unit, movement->other, sizeof from.unit);
    if (!apply_find_unit(movement, store, false, &vat, fault) ||
        (movement->other[0] && !apply_find_unit(&from, store, false, &cartridge, fault)) ||
        !apply_check_printer(movement, store, fault) || !apply_check_job(movement, store, fault))
        return false;
    if (!is_vat(vat.serial[0]) || !holds_its_own_item(cartridge.serial[0]))
        return fault_set(fault, FAULT_REFUSED, "resin runs from a cartridge into a vat, not from %s into %s",
                         cartridge.serial, vat.serial);
    return true;
}

/* Reality is never refused: with the word "taken" the thing is gone from the shelf, whatever the row thought. */
bool apply_check_out(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    const bool taken = strcmp(movement->word, "taken") == 0;
    if (movement->word[0] && !apply_check_word(movement, "taken", fault))
        return false;
    if (!apply_find_unit(movement, store, taken, &unit, fault) || !apply_check_thing(&unit, fault) ||
        !apply_check_printer(movement, store, fault) || !apply_check_job(movement, store, fault))
        return false;
    if (unit.status != UNIT_IN && !taken)
        return refuse_status(&unit, "in", "check it in first, or say that it was already taken", fault);
    unit.status = UNIT_OUT;
    memcpy(unit.holder, movement->person, sizeof unit.holder);
    memcpy(unit.printer, movement->printer, sizeof unit.printer);
    memcpy(unit.job, movement->job, sizeof unit.job);
    unit.place[0] = '\0';
    unit.out_since_ms = movement->at.ms;
    unit.due = movement->expires;
    return save(&unit, movement, store, fault);
}

/* What was said of hours, content and film. Not said keeps what was known; unknown must be said in `detail`. */
static void read_measures(const struct movement *movement, struct unit *unit)
{
    if (movement_detail_flag(movement->detail, "minutes_unknown"))
        unit->minutes = MOVEMENT_NULL;
    else if (movement->minutes != MOVEMENT_NULL && unit->minutes != MOVEMENT_NULL)
        unit->minutes += movement->minutes;
    if (movement_detail_flag(movement->detail, "amount_unknown"))
        unit->amount_ul = MOVEMENT_NULL;
    else if (movement->amount_ul != MOVEMENT_NULL)
        unit->amount_ul = movement->amount_ul;
    if (movement->amount_ul != MOVEMENT_NULL)
        unit->estimated = false;
    if (movement->word[0])
        memcpy(unit->film, movement->word, sizeof unit->film);
}

bool apply_check_in(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    const bool as_found = movement_detail_flag(movement->detail, "as_found");
    if (movement->word[0] && !apply_check_word(movement, "clear fogged dented bits leaking", fault))
        return false;
    if (!apply_find_unit(movement, store, as_found, &unit, fault) || !apply_check_thing(&unit, fault) ||
        !apply_check_place(movement, store, fault))
        return false;
    if (unit.status != UNIT_OUT && !as_found)
        return refuse_status(&unit, "out", "nothing to check in; say that it was found there if it was", fault);
    const struct unit before = unit;
    read_measures(movement, &unit);
    if (!apply_mix_total(movement, &before, unit.amount_ul, store, fault))
        return false;
    put_in(&unit, movement->place);
    apply_note_rest(movement, &unit);
    return save(&unit, movement, store, fault);
}

bool apply_hold(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault) ||
        !apply_needs(movement, movement->word, "reason", fault))
        return false;
    memcpy(unit.hold, movement->word, sizeof unit.hold);
    return save(&unit, movement, store, fault);
}

bool apply_release(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault))
        return false;
    if (!unit.hold[0])
        return fault_set(fault, FAULT_REFUSED, "unit %s is not on hold: there is nothing to release", unit.serial);
    unit.hold[0] = '\0';
    return save(&unit, movement, store, fault);
}
