#include <string.h>

#include "kiosk/ledger/apply_parts.h"
#include "kiosk/ledger/desk_rows.h"

/* What leaves the room for another one and is promised back; and what is kept for somebody. */

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
    if (!apply_find_unit(movement, store, taken, &unit, fault) || !apply_check_thing(&unit, fault) ||
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
/* ---- kept for somebody ---- */

/* Out or in: what is out is kept from its return on. */
static bool find_present(const struct movement *movement, const struct apply_store *store, struct unit *unit,
                         struct fault *fault)
{
    if (!apply_find_unit(movement, store, false, unit, fault))
        return false;
    return unit->status == UNIT_IN || unit->status == UNIT_OUT ||
           fault_set(fault, FAULT_REFUSED, "unit %s is %s: what is no longer in service is kept for nobody",
                     unit->serial, unit_status_word(unit->status));
}

bool apply_reserve(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    char whom[JOB_CODE_SIZE] = "";
    if (!apply_detail_text(movement, "for", whom, sizeof whom, fault) ||
        !apply_needs(movement, whom, "for whom", fault) || !find_present(movement, store, &unit, fault))
        return false;
    memcpy(unit.reserved, whom, sizeof unit.reserved);
    unit.reserved_until = movement->expires;
    unit.version = movement->seq;
    return store->save_unit(store->context, &unit, fault);
}

bool apply_unreserve(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!find_present(movement, store, &unit, fault))
        return false;
    if (!unit.reserved[0])
        return fault_set(fault, FAULT_REFUSED, "unit %s is kept for nobody: there is nothing to free", unit.serial);
    unit.reserved[0] = '\0';
    unit.reserved_until = MOVEMENT_NULL;
    unit.version = movement->seq;
    return store->save_unit(store->context, &unit, fault);
}
