#include <string.h>

#include "kiosk/ledger/apply_parts.h"

/* A thing whose label is lost gets a new serial. The movement says all that the thing is (as a correction does), so
 * that the new unit begins with it whole; the old row keeps what it was of and where it went, and holds nothing any
 * more: one thing is counted once. */

bool apply_write_relabel(const struct unit_state *old, const char *fresh, struct movement *relabel, struct fault *fault)
{
    struct movement made;
    struct unit_state state = *old;
    movement_init(&made, MOVEMENT_RELABEL);
    state.unit.labelled = false; /* the new label is still to be stuck on */
    state.unit.heir[0] = '\0';
    if (!apply_state_write(&state, state.unit.holder, &made, fault))
        return false;
    memcpy(made.other, old->unit.serial, sizeof made.other);
    if (!span_copy(span_of(fresh), made.unit, sizeof made.unit))
        return fault_set(fault, FAULT_INPUT, "'%s' is no serial", fresh);
    *relabel = made;
    return true;
}

bool apply_read_relabelled(const struct movement *relabel, struct unit_state *old, struct fault *fault)
{
    struct unit_state read = {.mix = ""};
    memcpy(read.unit.serial, relabel->other, sizeof read.unit.serial);
    if (!apply_state_read(relabel, &read, fault))
        return false;
    *old = read;
    return true;
}

static bool load_old(const struct movement *movement, const struct apply_store *store, struct unit_state *old,
                     struct fault *fault)
{
    struct movement about = *movement;
    struct unit_mix mix = {.lots = ""};
    bool has_mix = false;
    memcpy(about.unit, movement->other, sizeof about.unit);
    if (!apply_find_unit(&about, store, false, &old->unit, fault))
        return false;
    if (old->unit.status != UNIT_IN && old->unit.status != UNIT_OUT)
        return fault_set(fault, FAULT_REFUSED, "unit %s is %s: there is no thing left that could get a new label",
                         old->unit.serial, unit_status_word(old->unit.status));
    memcpy(mix.unit, old->unit.serial, sizeof mix.unit);
    if (!store->load_unit_mix(store->context, &mix, &has_mix, fault))
        return false;
    memcpy(old->mix, has_mix ? mix.lots : "", has_mix ? sizeof old->mix : 1);
    return true;
}

/* Is the thing what the movement says it is? */
static bool is_as_said(const struct movement *movement, const struct unit_state *old, struct fault *fault)
{
    struct movement now;
    movement_init(&now, MOVEMENT_RELABEL);
    if (!apply_write_relabel(old, movement->unit, &now, fault))
        return false;
    const bool same = strcmp(now.item, movement->item) == 0 && strcmp(now.lot, movement->lot) == 0 &&
                      strcmp(now.place, movement->place) == 0 && strcmp(now.printer, movement->printer) == 0 &&
                      strcmp(now.delivery, movement->delivery) == 0 && strcmp(now.job, movement->job) == 0 &&
                      strcmp(now.word, movement->word) == 0 && strcmp(now.detail, movement->detail) == 0 &&
                      now.amount_ul == movement->amount_ul && now.minutes == movement->minutes &&
                      now.filled == movement->filled && now.expires == movement->expires;
    return same || fault_set(fault, FAULT_CONFLICT, "%s changed meanwhile: look again, then decide", movement->other);
}

static bool check_fresh(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit = {0};
    char letter = '\0';
    long number = 0;
    bool found = false;
    if (!serial_read(span_of(movement->unit), &letter, &number, fault))
        return false;
    if (letter != movement->other[0])
        return fault_set(fault, FAULT_REFUSED, "serial %s does not suit %s: both begin with the same letter",
                         movement->unit, movement->other);
    memcpy(unit.serial, movement->unit, sizeof unit.serial);
    return store->load_unit(store->context, &unit, &found, fault) &&
           (!found || fault_set(fault, FAULT_REFUSED, "unit %s is in the ledger already: a serial is given once",
                                movement->unit));
}

/* What a relabelled one keeps: which item it was, how its labels went, and its heir. */
static struct unit emptied(const struct movement *movement, const struct unit *old)
{
    struct unit unit = apply_blank_unit(old->serial, old->item, UNIT_RELABELLED);
    unit.labelled = old->labelled;
    unit.prints = old->prints;
    unit.version = movement->seq;
    memcpy(unit.heir, movement->unit, sizeof unit.heir);
    return unit;
}

bool apply_relabel(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit_state old;
    struct movement about = *movement;
    if (!apply_needs(movement, movement->unit, "a new serial", fault) ||
        !apply_needs(movement, movement->other, "the unit whose label is lost", fault) ||
        !load_old(movement, store, &old, fault) || !is_as_said(movement, &old, fault) ||
        !check_fresh(movement, store, fault))
        return false;
    struct unit fresh = old.unit;
    const struct unit left = emptied(movement, &old.unit);
    memcpy(fresh.serial, movement->unit, sizeof fresh.serial);
    fresh.labelled = false;
    fresh.prints = 0;
    fresh.version = movement->seq;
    memcpy(about.unit, movement->other, sizeof about.unit);
    return store->save_unit(store->context, &fresh, fault) && apply_mix_set(movement, old.mix, store, fault) &&
           store->save_unit(store->context, &left, fault) && apply_mix_set(&about, "", store, fault);
}
