#include <stddef.h>

#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field MIX_LIST[] = {
    ROW_FIELD(TEXT, unit_mix, unit),
    ROW_FIELD(TEXT, unit_mix, lots),
    ROW_FIELD(WHOLE, unit_mix, version),
};
static const struct row_fields MIX_FIELDS = ROW_FIELDS("mix", MIX_LIST);

static const struct sql_text MIX_SAVE = {
    "INSERT INTO mix (unit, lots, version) VALUES ($1, $2, $3)"
    " ON CONFLICT (unit) DO UPDATE SET lots = excluded.lots, version = excluded.version"
    " WHERE mix.version <= excluded.version",
    "tti"};
static const struct sql_text MIX_LOAD = {"SELECT unit, lots, version FROM mix WHERE unit = $1", "t"};
static const struct sql_text MIX_EACH = {"SELECT unit, lots, version FROM mix ORDER BY unit", ""};

bool unit_mix_save(struct ledger *ledger, const struct unit_mix *row, struct fault *fault)
{
    return row_save(ledger, &MIX_SAVE, &MIX_FIELDS, row, fault);
}

bool unit_mix_load(struct ledger *ledger, const char *unit, struct unit_mix *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &MIX_LOAD, ROW_KEYS({.text = unit}), &MIX_FIELDS, row, sizeof *row, found, fault);
}

bool unit_mix_each(struct ledger *ledger, unit_mix_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct unit_mix row;
    if (!row_walk_start(&walk, ledger, &MIX_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &MIX_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
