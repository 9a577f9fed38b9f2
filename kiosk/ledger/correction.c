#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/apply_parts.h"
#include "kiosk/ledger/memory_store.h"
#include "kiosk/ledger/movement_detail.h"

/* A correction says how the unit's row is from now on, in full: columns of the movement where one fits (other = who
 * holds it, word = hold), the rest in its detail. Nothing is computed from the old row, so the same correction means
 * the same wherever it is applied. Only the count of labels stays: an ordered label is on paper, and taking its number
 * back would give it to another. */

static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static bool put_text(json_t *object, const char *key, const char *value)
{
    return !value[0] || put(object, key, json_string(value));
}

static bool put_number(json_t *object, const char *key, int64_t value)
{
    return value == MOVEMENT_NULL || put(object, key, json_integer(value));
}

static bool write_detail(const struct unit_state *state, const char *holder, char detail[DETAIL_SIZE],
                         struct fault *fault)
{
    const struct unit *unit = &state->unit;
    json_t *object = json_object();
    const bool filled =
        object && put(object, "status", json_string(unit_status_word(unit->status))) &&
        put_text(object, "holder", holder) && put_text(object, "resin", unit->resin) &&
        put_text(object, "film", unit->film) && put_text(object, "mix", state->mix) &&
        put_text(object, "heir", unit->heir) && (!unit->labelled || put(object, "labelled", json_integer(1))) &&
        (!unit->estimated || put(object, "estimated", json_integer(1))) &&
        (!unit->recovered || put(object, "recovered", json_integer(1))) &&
        put_number(object, "out_since_ms", unit->out_since_ms) &&
        put_number(object, "first_filled", unit->first_filled) && put_number(object, "opened", unit->opened) &&
        put_number(object, "tare_dg", unit->tare_dg) && put_text(object, "reserved", unit->reserved) &&
        put_number(object, "reserved_until", unit->reserved_until) && put_number(object, "due", unit->due) &&
        put_text(object, "pair", unit->pair) && put_number(object, "stood_ms", unit->stood_ms) &&
        put_number(object, "inspected_minutes", unit->inspected_minutes) &&
        put_number(object, "surface_minutes", unit->surface_minutes);
    const bool ok = filled
                        ? movement_detail_write(object, detail, fault)
                        : fault_set(fault, FAULT_STORAGE,
                                    "no memory to write down unit %s: end other programs and try again", unit->serial);
    json_decref(object);
    return ok;
}

bool apply_state_write(const struct unit_state *state, const char *holder, struct movement *movement,
                       struct fault *fault)
{
    const struct unit *unit = &state->unit;
    if (!write_detail(state, holder, movement->detail, fault))
        return false;
    memcpy(movement->item, unit->item, sizeof movement->item);
    memcpy(movement->lot, unit->lot, sizeof movement->lot);
    memcpy(movement->place, unit->place, sizeof movement->place);
    memcpy(movement->printer, unit->printer, sizeof movement->printer);
    memcpy(movement->delivery, unit->delivery, sizeof movement->delivery);
    memcpy(movement->job, unit->job, sizeof movement->job);
    memcpy(movement->word, unit->hold, sizeof movement->word);
    movement->amount_ul = unit->amount_ul;
    movement->minutes = unit->minutes;
    movement->filled = unit->filled;
    movement->expires = unit->expires;
    return true;
}

bool apply_write_correction(const struct unit_state *state, int64_t refers, struct movement *correction,
                            struct fault *fault)
{
    struct movement made;
    movement_init(&made, MOVEMENT_CORRECTION);
    if (!apply_state_write(state, "", &made, fault))
        return false;
    memcpy(made.unit, state->unit.serial, sizeof made.unit);
    memcpy(made.other, state->unit.holder, sizeof made.other);
    made.refers = refers;
    *correction = made;
    return true;
}

static bool read_detail(const struct movement *movement, struct unit_state *state, struct fault *fault)
{
    struct unit *unit = &state->unit;
    json_t *object = NULL;
    char status[WORD_SIZE] = "";
    int64_t labelled = 0, estimated = 0, recovered = 0;
    if (!movement_detail_read(movement->detail, &object, fault))
        return false;
    const bool ok = movement_detail_text(object, "status", status, sizeof status, fault) &&
                    movement_detail_text(object, "holder", unit->holder, sizeof unit->holder, fault) &&
                    movement_detail_text(object, "resin", unit->resin, sizeof unit->resin, fault) &&
                    movement_detail_text(object, "film", unit->film, sizeof unit->film, fault) &&
                    movement_detail_text(object, "mix", state->mix, sizeof state->mix, fault) &&
                    movement_detail_text(object, "heir", unit->heir, sizeof unit->heir, fault) &&
                    movement_detail_number(object, "labelled", &labelled, fault) &&
                    movement_detail_number(object, "estimated", &estimated, fault) &&
                    movement_detail_number(object, "recovered", &recovered, fault) &&
                    movement_detail_number(object, "out_since_ms", &unit->out_since_ms, fault) &&
                    movement_detail_number(object, "first_filled", &unit->first_filled, fault) &&
                    movement_detail_number(object, "opened", &unit->opened, fault) &&
                    movement_detail_number(object, "tare_dg", &unit->tare_dg, fault) &&
                    movement_detail_text(object, "reserved", unit->reserved, sizeof unit->reserved, fault) &&
                    movement_detail_number(object, "reserved_until", &unit->reserved_until, fault) &&
                    movement_detail_number(object, "due", &unit->due, fault) &&
                    movement_detail_text(object, "pair", unit->pair, sizeof unit->pair, fault) &&
                    movement_detail_number(object, "stood_ms", &unit->stood_ms, fault) &&
                    movement_detail_number(object, "inspected_minutes", &unit->inspected_minutes, fault) &&
                    movement_detail_number(object, "surface_minutes", &unit->surface_minutes, fault);
    json_decref(object);
    if (!ok)
        return false;
    unit->labelled = labelled == 1;
    unit->estimated = estimated == 1;
    unit->recovered = recovered == 1;
    return unit_status_read(status, &unit->status) ||
           fault_set(fault, FAULT_REFUSED, "a %s of unit %s says status '%s', which is none",
                     movement_kind_word(movement->kind), movement->unit, status);
}

bool apply_state_read(const struct movement *movement, struct unit_state *state, struct fault *fault)
{
    struct unit *const unit = &state->unit;
    if (!read_detail(movement, state, fault))
        return false;
    memcpy(unit->item, movement->item, sizeof unit->item);
    memcpy(unit->lot, movement->lot, sizeof unit->lot);
    memcpy(unit->place, movement->place, sizeof unit->place);
    memcpy(unit->printer, movement->printer, sizeof unit->printer);
    memcpy(unit->delivery, movement->delivery, sizeof unit->delivery);
    memcpy(unit->job, movement->job, sizeof unit->job);
    memcpy(unit->hold, movement->word, sizeof unit->hold);
    unit->amount_ul = movement->amount_ul;
    unit->minutes = movement->minutes;
    unit->filled = movement->filled;
    unit->expires = movement->expires;
    return true;
}

bool apply_correction(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit_state state;
    struct unit *const unit = &state.unit;
    if (!apply_find_unit(movement, store, true, unit, fault) || !apply_needs(movement, movement->item, "item", fault))
        return false;
    if (movement->refers < 1 || movement->refers >= movement->seq)
        return fault_set(fault, FAULT_REFUSED, "a correction of unit %s does not say which earlier movement it is of",
                         movement->unit);
    if (!apply_state_read(movement, &state, fault))
        return false;
    memcpy(unit->holder, movement->other, sizeof unit->holder);
    unit->version = movement->seq;
    return store->save_unit(store->context, unit, fault) && apply_mix_set(movement, state.mix, store, fault);
}
