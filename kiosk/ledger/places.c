#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field PLACE_LIST[] = {
    ROW_FIELD(TEXT, place, code), ROW_FIELD(TEXT, place, kind),     ROW_FIELD(TEXT, place, printer),
    ROW_FIELD(TEXT, place, name), ROW_FIELD(WHOLE, place, version),
};
static const struct sql_text PLACE_LOAD = {"SELECT code, kind, printer, name, version FROM place WHERE code = $1", "t"};
static const struct row_fields PLACE_FIELDS = ROW_FIELDS_KEPT("place", PLACE_LIST, &PLACE_LOAD);

static const struct sql_text PLACE_SAVE = {
    "INSERT INTO place (code, kind, printer, name, version) VALUES ($1, $2, $3, $4, $5)"
    " ON CONFLICT (code) DO UPDATE SET kind = excluded.kind, printer = excluded.printer, name = excluded.name,"
    " version = excluded.version WHERE place.version <= excluded.version",
    "tttti"};
static const struct sql_text PLACE_EACH = {"SELECT code, kind, printer, name, version FROM place ORDER BY code", ""};

bool place_save(struct ledger *ledger, const struct place *row, struct fault *fault)
{
    return row_save(ledger, &PLACE_SAVE, &PLACE_FIELDS, row, fault);
}

bool place_load(struct ledger *ledger, const char *code, struct place *place, bool *found, struct fault *fault)
{
    return row_load(ledger, &PLACE_LOAD, ROW_KEYS({.text = code}), &PLACE_FIELDS, place, sizeof *place, found, fault);
}

bool place_keeps(const struct place *place)
{
    return strcmp(place->kind, "slot") != 0 && strcmp(place->kind, "room") != 0;
}

bool place_each(struct ledger *ledger, place_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct place row;
    if (!row_walk_start(&walk, ledger, &PLACE_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &PLACE_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
