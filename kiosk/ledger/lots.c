#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field LOT_LIST[] = {
    ROW_FIELD(TEXT, lot, item),
    ROW_FIELD(TEXT, lot, lot),
    ROW_FIELD(WHOLE, lot, expires),
    ROW_FIELD(WHOLE, lot, version),
};
static const struct row_fields LOT_FIELDS = ROW_FIELDS("lot", LOT_LIST);

static const struct sql_text LOT_SAVE = {
    "INSERT INTO lot (item, lot, expires, version) VALUES ($1, $2, $3, $4)"
    " ON CONFLICT (item, lot) DO UPDATE SET expires = excluded.expires, version = excluded.version"
    " WHERE lot.version <= excluded.version",
    "ttii"};
static const struct sql_text LOT_LOAD = {"SELECT item, lot, expires, version FROM lot WHERE item = $1 AND lot = $2",
                                         "tt"};
static const struct sql_text LOT_EACH = {"SELECT item, lot, expires, version FROM lot ORDER BY item, lot", ""};

bool lot_save(struct ledger *ledger, const struct lot *row, struct fault *fault)
{
    return row_save(ledger, &LOT_SAVE, &LOT_FIELDS, row, fault);
}

bool lot_load(struct ledger *ledger, const char *item, const char *lot, struct lot *row, bool *found,
              struct fault *fault)
{
    return row_load(ledger, &LOT_LOAD, ROW_KEYS({.text = item}, {.text = lot}), &LOT_FIELDS, row, sizeof *row, found,
                    fault);
}

bool lot_each(struct ledger *ledger, lot_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct lot row;
    if (!row_walk_start(&walk, ledger, &LOT_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &LOT_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
