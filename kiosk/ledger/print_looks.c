#include "kiosk/ledger/print_looks.h"

#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field LOOK_LIST[] = {
    ROW_FIELD(WHOLE, print_look, seq),      ROW_FIELD(TEXT, print_look, device),
    ROW_FIELD(TEXT, print_look, unit),      ROW_FIELD(WHOLE, print_look, number),
    ROW_FIELD(WHOLE, print_look, at_ms),    ROW_FIELD(TEXT, print_look, source),
    ROW_FIELD(WHOLE, print_look, pixels),   ROW_FIELD(WHOLE, print_look, modulation),
    ROW_FIELD(WHOLE, print_look, margin),   ROW_FIELD(WHOLE, print_look, axial),
    ROW_FIELD(WHOLE, print_look, grid),     ROW_FIELD(WHOLE, print_look, unused),
    ROW_FIELD(WHOLE, print_look, fixed),    ROW_FIELD(WHOLE, print_look, growth_x),
    ROW_FIELD(WHOLE, print_look, growth_y), ROW_FIELD(WHOLE, print_look, contrast),
    ROW_FIELD(WHOLE, print_look, from_um),  ROW_FIELD(WHOLE, print_look, to_um),
    ROW_FIELD(TEXT, print_look, marks),     ROW_FIELD(TEXT, print_look, edition),
    ROW_FIELD(WHOLE, print_look, version),
};
static const struct row_fields LOOK_FIELDS = ROW_FIELDS("print_look", LOOK_LIST);

#define LOOK_COLUMNS                                                                                                   \
    "seq, device, unit, number, at_ms, source, pixels, modulation, margin, axial, grid, unused, fixed, growth_x,"      \
    " growth_y, contrast, from_um, to_um, marks, edition, version"
static const struct sql_text LOOK_SAVE = {
    "INSERT INTO print_look (" LOOK_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14,"
    " $15, $16, $17, $18, $19, $20, $21) ON CONFLICT (seq) DO UPDATE SET version = excluded.version"
    " WHERE print_look.version <= excluded.version", /* a look is never looked at again */
    "ittiitiiiiiiiiiiiitti"};
static const struct sql_text LOOK_LOAD = {"SELECT " LOOK_COLUMNS " FROM print_look WHERE seq = $1", "i"};
static const struct sql_text LOOK_EACH = {"SELECT " LOOK_COLUMNS " FROM print_look ORDER BY seq", ""};
static const struct sql_text LOOK_EACH_NEWEST = {
    "SELECT " LOOK_COLUMNS " FROM print_look WHERE device = $1 ORDER BY seq DESC LIMIT $2", "ti"};
static const struct sql_text LOOK_EACH_FROM = {
    "SELECT " LOOK_COLUMNS " FROM print_look WHERE device = $1 AND seq >= $2 ORDER BY seq LIMIT $3", "tii"};

bool print_look_save(struct ledger *ledger, const struct print_look *row, struct fault *fault)
{
    return row_save(ledger, &LOOK_SAVE, &LOOK_FIELDS, row, fault);
}

bool print_look_load(struct ledger *ledger, int64_t seq, struct print_look *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &LOOK_LOAD, ROW_KEYS({.whole = seq}), &LOOK_FIELDS, row, sizeof *row, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys,
                 print_look_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct print_look row;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &LOOK_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool print_look_each(struct ledger *ledger, print_look_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &LOOK_EACH, NULL, visit, context, fault);
}

bool print_look_each_newest(struct ledger *ledger, const char *device, int64_t limit, print_look_visitor *visit,
                            void *context, struct fault *fault)
{
    return each(ledger, &LOOK_EACH_NEWEST, ROW_KEYS({.text = device}, {.whole = limit}), visit, context, fault);
}

bool print_look_each_from(struct ledger *ledger, const char *device, int64_t seq, int64_t limit,
                          print_look_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &LOOK_EACH_FROM, ROW_KEYS({.text = device}, {.whole = seq}, {.whole = limit}), visit, context,
                fault);
}
