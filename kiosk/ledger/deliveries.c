#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field DELIVERY_LIST[] = {
    ROW_FIELD(TEXT, delivery, id),         ROW_FIELD(TEXT, delivery, supplier), ROW_FIELD(FLAG, delivery, open),
    ROW_FIELD(WHOLE, delivery, opened_ms), ROW_FIELD(WHOLE, delivery, version),
};
static const struct row_fields DELIVERY_FIELDS = ROW_FIELDS("delivery", DELIVERY_LIST);

#define DELIVERY_SELECT "SELECT id, supplier, is_open, opened_ms, version FROM delivery"
static const struct sql_text DELIVERY_SAVE = {
    "INSERT INTO delivery (id, supplier, is_open, opened_ms, version) VALUES ($1, $2, $3, $4, $5)"
    " ON CONFLICT (id) DO UPDATE SET supplier = excluded.supplier, is_open = excluded.is_open,"
    " opened_ms = excluded.opened_ms, version = excluded.version WHERE delivery.version <= excluded.version",
    "ttiii"};
static const struct sql_text DELIVERY_LOAD = {DELIVERY_SELECT " WHERE id = $1", "t"};
static const struct sql_text DELIVERY_EACH_OPEN = {DELIVERY_SELECT " WHERE is_open = 1 ORDER BY opened_ms, id", ""};
static const struct sql_text DELIVERY_EACH = {DELIVERY_SELECT " ORDER BY id", ""};

bool delivery_save(struct ledger *ledger, const struct delivery *row, struct fault *fault)
{
    return row_save(ledger, &DELIVERY_SAVE, &DELIVERY_FIELDS, row, fault);
}

bool delivery_load(struct ledger *ledger, const char *id, struct delivery *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &DELIVERY_LOAD, ROW_KEYS({.text = id}), &DELIVERY_FIELDS, row, sizeof *row, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, delivery_visitor *visit, void *context,
                 struct fault *fault)
{
    struct row_walk walk;
    struct delivery row;
    if (!row_walk_start(&walk, ledger, text, NULL, fault))
        return false;
    while (row_walk_next(&walk, &DELIVERY_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool delivery_each_open(struct ledger *ledger, delivery_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &DELIVERY_EACH_OPEN, visit, context, fault);
}

bool delivery_each(struct ledger *ledger, delivery_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &DELIVERY_EACH, visit, context, fault);
}
