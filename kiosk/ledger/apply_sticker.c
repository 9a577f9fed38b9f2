#include <string.h>

#include "kiosk/ledger/apply_parts.h"

/* What suppliers' stickers look like. A pattern is never changed: a better one is taught beside it and the old one is
 * forgotten, so that a receipt of long ago can be told from which pattern it was read. Whether the text is a pattern is
 * the desk's to judge before it books: what was booked stays readable, whatever later versions think of its form. */

static bool load(const struct movement *movement, const struct apply_store *store, struct sticker *row, bool *found,
                 struct fault *fault)
{
    if (!apply_needs(movement, movement->word, "its pattern's id", fault))
        return false;
    memcpy(row->id, movement->word, sizeof row->id);
    return store->load_sticker(store->context, row, found, fault);
}

bool apply_sticker_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct sticker before = {.id = ""}, row = {.version = movement->seq};
    bool found = false;
    if (!load(movement, store, &before, &found, fault) ||
        !apply_detail_text(movement, "supplier", row.supplier, sizeof row.supplier, fault) ||
        !apply_detail_text(movement, "pattern", row.pattern, sizeof row.pattern, fault) ||
        !apply_detail_text(movement, "example", row.example, sizeof row.example, fault) ||
        !apply_needs(movement, row.supplier, "its supplier", fault) ||
        !apply_needs(movement, row.pattern, "its pattern", fault))
        return false;
    if (found)
        return fault_set(fault, FAULT_REFUSED, "sticker pattern '%s' was taught before: give the new one another id",
                         movement->word);
    memcpy(row.id, movement->word, sizeof row.id);
    return store->save_sticker(store->context, &row, fault);
}

bool apply_sticker_forget(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct sticker row = {.id = ""};
    bool found = false;
    if (!load(movement, store, &row, &found, fault))
        return false;
    if (!found || row.forgotten)
        return fault_set(fault, FAULT_REFUSED, "sticker pattern '%s' is not known: there is nothing to forget",
                         movement->word);
    row.forgotten = true;
    row.version = movement->seq;
    return store->save_sticker(store->context, &row, fault);
}
