#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field STICKER_LIST[] = {
    ROW_FIELD(TEXT, sticker, id),      ROW_FIELD(TEXT, sticker, supplier),  ROW_FIELD(TEXT, sticker, pattern),
    ROW_FIELD(TEXT, sticker, example), ROW_FIELD(FLAG, sticker, forgotten), ROW_FIELD(WHOLE, sticker, version),
};
static const struct row_fields STICKER_FIELDS = ROW_FIELDS("sticker pattern", STICKER_LIST);

#define STICKER_SELECT "SELECT id, supplier, pattern, example, forgotten, version FROM sticker"
static const struct sql_text STICKER_SAVE = {
    "INSERT INTO sticker (id, supplier, pattern, example, forgotten, version) VALUES ($1, $2, $3, $4, $5, $6)"
    " ON CONFLICT (id) DO UPDATE SET supplier = excluded.supplier, pattern = excluded.pattern,"
    " example = excluded.example, forgotten = excluded.forgotten, version = excluded.version"
    " WHERE sticker.version <= excluded.version",
    "ttttii"};
static const struct sql_text STICKER_LOAD = {STICKER_SELECT " WHERE id = $1", "t"};
static const struct sql_text STICKER_EACH = {STICKER_SELECT " WHERE forgotten = 0 ORDER BY supplier, version", ""};
static const struct sql_text STICKER_EACH_ROW = {STICKER_SELECT " ORDER BY id", ""};

bool sticker_save(struct ledger *ledger, const struct sticker *row, struct fault *fault)
{
    return row_save(ledger, &STICKER_SAVE, &STICKER_FIELDS, row, fault);
}

bool sticker_load(struct ledger *ledger, const char *id, struct sticker *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &STICKER_LOAD, ROW_KEYS({.text = id}), &STICKER_FIELDS, row, sizeof *row, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, sticker_visitor *visit, void *context,
                 struct fault *fault)
{
    struct row_walk walk;
    struct sticker row;
    if (!row_walk_start(&walk, ledger, text, NULL, fault))
        return false;
    while (row_walk_next(&walk, &STICKER_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool sticker_each(struct ledger *ledger, sticker_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &STICKER_EACH, visit, context, fault);
}

bool sticker_each_row(struct ledger *ledger, sticker_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &STICKER_EACH_ROW, visit, context, fault);
}
