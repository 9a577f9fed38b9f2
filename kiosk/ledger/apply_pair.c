#include "kiosk/ledger/apply_parts.h"

#include <string.h>

/* A vat in its case has two labels: the case's is the unit, the tray's leads to it. The tray's has a row of its own, of
 * status "tray": it is no thing in stock, it has a label that is printed and proved, and it says which vat it is of. */

static bool load_tray(const char *serial, const struct apply_store *store, struct unit *unit, bool *found,
                      struct fault *fault)
{
    *unit = (struct unit){.status = UNIT_TRAY};
    memcpy(unit->serial, serial, sizeof unit->serial);
    return store->load_unit(store->context, unit, found, fault);
}

static bool refuse_paired(const struct unit *one, const struct unit *other, struct fault *fault)
{
    return fault_set(fault, FAULT_REFUSED, "%s belongs with %s: part them before it goes with %s", one->serial,
                     one->pair, other->serial);
}

static bool save_both(const struct movement *movement, struct unit *vat, struct unit *tray,
                      const struct apply_store *store, struct fault *fault)
{
    vat->version = tray->version = movement->seq;
    return store->save_unit(store->context, vat, fault) && store->save_unit(store->context, tray, fault);
}

static bool part(const struct movement *movement, struct unit *vat, struct unit *tray, const struct apply_store *store,
                 struct fault *fault)
{
    if (strcmp(vat->pair, tray->serial) != 0 || strcmp(tray->pair, vat->serial) != 0)
        return fault_set(fault, FAULT_REFUSED, "%s and %s are no pair: there is nothing to part", vat->serial,
                         tray->serial);
    vat->pair[0] = tray->pair[0] = '\0';
    return save_both(movement, vat, tray, store, fault);
}

bool apply_pair(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit vat, tray;
    char letter = '\0';
    long number = 0;
    bool found = false;
    if ((movement->word[0] && !apply_check_word(movement, "apart", fault)) ||
        !apply_needs(movement, movement->other, "the tray's label", fault) ||
        !apply_find_unit(movement, store, false, &vat, fault) ||
        !serial_read(span_of(movement->other), &letter, &number, fault) ||
        !load_tray(movement->other, store, &tray, &found, fault))
        return false;
    if (vat.serial[0] != 'V' || letter != 'T')
        return fault_set(fault, FAULT_REFUSED, "a case's label V and a tray's label T make a pair, not %s and %s",
                         vat.serial, movement->other);
    if (found && tray.status != UNIT_TRAY)
        return fault_set(fault, FAULT_REFUSED, "%s is %s: it is not the label of a tray in a case", tray.serial,
                         unit_status_word(tray.status));
    if (movement->word[0])
        return part(movement, &vat, &tray, store, fault);
    if (!found && !apply_needs(movement, movement->item, "the vat's item", fault))
        return false;
    if (!found)
        tray = apply_blank_unit(movement->other, movement->item, UNIT_TRAY);
    if (vat.pair[0])
        return refuse_paired(&vat, &tray, fault);
    if (tray.pair[0])
        return refuse_paired(&tray, &vat, fault);
    memcpy(vat.pair, tray.serial, sizeof vat.pair);
    memcpy(tray.pair, vat.serial, sizeof tray.pair);
    return save_both(movement, &vat, &tray, store, fault);
}
