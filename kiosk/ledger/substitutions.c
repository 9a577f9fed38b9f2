#include "kiosk/ledger/substitutions.h"

#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field SUBSTITUTION_LIST[] = {
    ROW_FIELD(TEXT, substitution, resin),    ROW_FIELD(TEXT, substitution, wanted),
    ROW_FIELD(TEXT, substitution, given),    ROW_FIELD(TEXT, substitution, approver),
    ROW_FIELD(WHOLE, substitution, until),   ROW_FIELD(FLAG, substitution, ended),
    ROW_FIELD(WHOLE, substitution, version),
};
static const struct row_fields SUBSTITUTION_FIELDS = ROW_FIELDS("substitution", SUBSTITUTION_LIST);

#define SUBSTITUTION_SELECT "SELECT resin, wanted, given, approver, until_day, ended, version FROM substitution"
static const struct sql_text SUBSTITUTION_SAVE = {
    "INSERT INTO substitution (resin, wanted, given, approver, until_day, ended, version)"
    " VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT (resin, wanted, given) DO UPDATE SET"
    " approver = excluded.approver, until_day = excluded.until_day, ended = excluded.ended, version = excluded.version"
    " WHERE substitution.version <= excluded.version",
    "ttttiii"};
static const struct sql_text SUBSTITUTION_LOAD = {
    SUBSTITUTION_SELECT " WHERE resin = $1 AND wanted = $2 AND given = $3", "ttt"};
static const struct sql_text SUBSTITUTION_EACH = {SUBSTITUTION_SELECT " ORDER BY resin, wanted, given", ""};

bool substitution_save(struct ledger *ledger, const struct substitution *row, struct fault *fault)
{
    return row_save(ledger, &SUBSTITUTION_SAVE, &SUBSTITUTION_FIELDS, row, fault);
}

bool substitution_load(struct ledger *ledger, struct substitution *row, bool *found, struct fault *fault)
{
    const struct substitution key = *row;
    return row_load(ledger, &SUBSTITUTION_LOAD,
                    ROW_KEYS({.text = key.resin}, {.text = key.wanted}, {.text = key.given}), &SUBSTITUTION_FIELDS, row,
                    sizeof *row, found, fault);
}

bool substitution_each(struct ledger *ledger, substitution_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct substitution row;
    if (!row_walk_start(&walk, ledger, &SUBSTITUTION_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &SUBSTITUTION_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
