#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field MACHINE_LIST[] = {
    ROW_FIELD(TEXT, machine, code),
    ROW_FIELD(TEXT, machine, name),
    ROW_FIELD(WHOLE, machine, slots),
    ROW_FIELD(WHOLE, machine, version),
};
static const struct sql_text MACHINE_LOAD = {"SELECT code, name, slots, version FROM machine WHERE code = $1", "t"};
static const struct row_fields MACHINE_FIELDS = ROW_FIELDS_KEPT("machine", MACHINE_LIST, &MACHINE_LOAD);

static const struct sql_text MACHINE_SAVE = {
    "INSERT INTO machine (code, name, slots, version) VALUES ($1, $2, $3, $4)"
    " ON CONFLICT (code) DO UPDATE SET name = excluded.name, slots = excluded.slots, version = excluded.version"
    " WHERE machine.version <= excluded.version",
    "ttii"};
static const struct sql_text MACHINE_EACH = {"SELECT code, name, slots, version FROM machine ORDER BY code", ""};

bool machine_save(struct ledger *ledger, const struct machine *row, struct fault *fault)
{
    return row_save(ledger, &MACHINE_SAVE, &MACHINE_FIELDS, row, fault);
}

bool machine_load(struct ledger *ledger, const char *code, struct machine *machine, bool *found, struct fault *fault)
{
    return row_load(ledger, &MACHINE_LOAD, ROW_KEYS({.text = code}), &MACHINE_FIELDS, machine, sizeof *machine, found,
                    fault);
}

bool machine_each(struct ledger *ledger, machine_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct machine row;
    if (!row_walk_start(&walk, ledger, &MACHINE_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &MACHINE_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
