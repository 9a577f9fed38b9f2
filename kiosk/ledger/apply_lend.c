#include <string.h>

#include "kiosk/ledger/apply_parts.h"

/* What leaves the room for another one, and is promised back. */

static bool is_lent(const struct unit *unit)
{
    return unit->status == UNIT_OUT && unit->place[0] && !unit->printer[0];
}

/* Lent again where it is: another day, and who has it still has it. With the word "taken" it is there, whatever the row
 * thought, as with a check-out. */
bool apply_lend(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    const bool taken = strcmp(movement->word, "taken") == 0;
    if (movement->word[0] && !apply_check_word(movement, "taken", fault))
        return false;
    if (!apply_find_unit(movement, store, taken, &unit, fault) ||
        !apply_needs(movement, movement->place, "the room it goes to", fault) ||
        !apply_check_place(movement, store, fault))
        return false;
    if (unit.status != UNIT_IN && !is_lent(&unit) && !taken)
        return fault_set(fault, FAULT_REFUSED, "unit %s is %s, not in: check it in first, or say that it was taken",
                         unit.serial, unit_status_word(unit.status));
    if (!is_lent(&unit) || strcmp(unit.place, movement->place) != 0) {
        memcpy(unit.holder, movement->person, sizeof unit.holder);
        unit.out_since_ms = movement->at.ms;
    }
    unit.status = UNIT_OUT;
    memcpy(unit.place, movement->place, sizeof unit.place);
    unit.printer[0] = unit.job[0] = '\0';
    unit.due = movement->expires;
    unit.version = movement->seq;
    return store->save_unit(store->context, &unit, fault);
}
