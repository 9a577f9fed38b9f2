#include "kiosk/ledger/apply_parts.h"

#include <string.h>

/* Deliveries and questions. */

static bool load_delivery(const struct movement *movement, const struct apply_store *store, struct delivery *row,
                          bool *found, struct fault *fault)
{
    if (!apply_needs(movement, movement->delivery, "delivery", fault))
        return false;
    memcpy(row->id, movement->delivery, sizeof row->id);
    return store->load_delivery(store->context, row, found, fault);
}

bool apply_delivery_open(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct delivery before = {0}, row = {.open = true, .opened_ms = movement->at.ms, .version = movement->seq};
    bool found = false;
    if (!load_delivery(movement, store, &before, &found, fault) ||
        !apply_detail_text(movement, "supplier", row.supplier, sizeof row.supplier, fault))
        return false;
    if (found && movement->refers != MOVEMENT_NULL && !before.open) { /* its closing is taken back */
        before.open = true;
        before.version = movement->seq;
        return store->save_delivery(store->context, &before, fault);
    }
    if (found)
        return fault_set(fault, FAULT_REFUSED, "delivery '%s' was opened before: give the new one another name",
                         movement->delivery);
    memcpy(row.id, movement->delivery, sizeof row.id);
    return store->save_delivery(store->context, &row, fault);
}

bool apply_delivery_close(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct delivery row = {0};
    bool found = false;
    if (!load_delivery(movement, store, &row, &found, fault))
        return false;
    if (!found || !row.open)
        return fault_set(fault, FAULT_REFUSED, "delivery '%s' is not open: there is nothing to close",
                         movement->delivery);
    row.open = false;
    row.version = movement->seq;
    return store->save_delivery(store->context, &row, fault);
}

bool apply_question(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct question row = {.seq = movement->seq, .open = true, .opened_ms = movement->at.ms, .version = movement->seq};
    if (!apply_needs(movement, movement->word, "what it asks", fault))
        return false;
    memcpy(row.code, movement->word, sizeof row.code);
    memcpy(row.unit, movement->unit, sizeof row.unit);
    memcpy(row.person, movement->person, sizeof row.person);
    return store->save_question(store->context, &row, movement->text, fault);
}

bool apply_settlement(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct question row = {.seq = movement->refers};
    bool found = false;
    if (!store->load_question(store->context, &row, &found, fault))
        return false;
    if (!found || !row.open)
        return fault_set(fault, FAULT_REFUSED, "question %lld is not open: there is nothing to settle",
                         (long long)movement->refers);
    row.open = false;
    row.version = movement->seq;
    return store->save_question(store->context, &row, "", fault); /* "": the note it was opened with stays */
}
