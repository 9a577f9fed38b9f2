#include <string.h>

#include "kiosk/ledger/apply_parts.h"

/* The end of a thing's service. Its row stays for ever, so that its label says what became of it when it turns up. */

static void leave(struct unit *unit, enum unit_status status)
{
    unit->status = status;
    unit->place[0] = unit->holder[0] = unit->printer[0] = unit->job[0] = unit->hold[0] = '\0';
    unit->reserved[0] = '\0';
    unit->out_since_ms = unit->due = unit->reserved_until = MOVEMENT_NULL;
}

bool apply_retire(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, true, &unit, fault) ||
        !apply_needs(movement, movement->word, "a reason", fault))
        return false;
    if (unit.status != UNIT_IN && unit.status != UNIT_OUT && unit.status != UNIT_TRAY)
        return fault_set(fault, FAULT_REFUSED, "unit %s is %s already: there is nothing to retire", unit.serial,
                         unit_status_word(unit.status));
    if (unit.resin[0] && unit.amount_ul != MOVEMENT_NULL && unit.amount_ul > 0)
        return fault_set(fault, FAULT_REFUSED, "%.1f ml are in %s by the books: say first where they went",
                         (double)unit.amount_ul / 1000, unit.serial);
    leave(&unit, UNIT_RETIRED);
    memcpy(unit.heir, movement->other, sizeof unit.heir);
    unit.version = movement->seq;
    return store->save_unit(store->context, &unit, fault);
}

bool apply_dispose(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault))
        return false;
    if (unit.status != UNIT_RETIRED)
        return fault_set(fault, FAULT_REFUSED, "unit %s is %s, not retired: retire it first", unit.serial,
                         unit_status_word(unit.status));
    leave(&unit, UNIT_GONE);
    unit.version = movement->seq;
    return store->save_unit(store->context, &unit, fault);
}
