#include <string.h>

#include "kiosk/ledger/apply_parts.h"

/* Which revision of a resin may stand in for which. The same three entered again is the new word on it: another day,
 * another approver, and one that was ended counts again. */

static bool load(const struct movement *movement, const struct apply_store *store, struct substitution *row,
                 bool *found, struct fault *fault)
{
    if (!apply_detail_text(movement, "resin", row->resin, sizeof row->resin, fault) ||
        !apply_detail_text(movement, "wanted", row->wanted, sizeof row->wanted, fault) ||
        !apply_detail_text(movement, "given", row->given, sizeof row->given, fault) ||
        !apply_needs(movement, row->resin, "resin", fault) ||
        !apply_needs(movement, row->wanted, "the revision wanted", fault) ||
        !apply_needs(movement, row->given, "the revision given", fault))
        return false;
    return store->load_substitution(store->context, row, found, fault);
}

static bool check_approver(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct person person = {.serial = ""};
    bool found = false;
    if (!apply_needs(movement, movement->unit, "the badge of who approved it", fault))
        return false;
    memcpy(person.serial, movement->unit, sizeof person.serial);
    return store->load_person(store->context, &person, &found, fault) &&
           (found ||
            fault_set(fault, FAULT_REFUSED, "person '%s' is not known: enter the person first", movement->unit));
}

bool apply_substitution_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct substitution row = {.resin = ""};
    bool found = false;
    if (!load(movement, store, &row, &found, fault) || !check_approver(movement, store, fault))
        return false;
    if (strcmp(row.wanted, row.given) == 0)
        return fault_set(fault, FAULT_REFUSED, "revision %s needs nothing to stand in for itself: say two revisions",
                         row.given);
    if (movement->expires == MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED, "a substitution without an end: say the last day on which it counts");
    memcpy(row.approver, movement->unit, sizeof row.approver);
    row.until = movement->expires;
    row.ended = false;
    row.version = movement->seq;
    return store->save_substitution(store->context, &row, fault);
}

bool apply_substitution_end(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct substitution row = {.resin = ""};
    bool found = false;
    if (!load(movement, store, &row, &found, fault))
        return false;
    if (!found || row.ended)
        return fault_set(fault, FAULT_REFUSED, "no substitution of %s revision %s by %s counts: there is none to end",
                         row.resin, row.wanted, row.given);
    if (row.until > movement->local_day.number)
        row.until = movement->local_day.number;
    row.ended = true;
    row.version = movement->seq;
    return store->save_substitution(store->context, &row, fault);
}
