#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const char *state_word(unsigned value)
{
    return print_state_word((enum print_state)value);
}

static const struct row_words STATE_WORDS = {PRINT_STATES, state_word};
static const struct row_field PRINT_LIST[] = {
    ROW_FIELD(TEXT, print, unit),           ROW_FIELD(TEXT, print, place),
    ROW_FIELD(WHOLE, print, number),        ROW_WORD_FIELD(print, state, &STATE_WORDS),
    ROW_FIELD(TEXT, print, label_template), ROW_FIELD(TEXT, print, device),
    ROW_FIELD(WHOLE, print, device_job),    ROW_FIELD(WHOLE, print, ordered_seq),
    ROW_FIELD(WHOLE, print, version),
};
static const struct row_fields PRINT_FIELDS = ROW_FIELDS("print", PRINT_LIST);

#define PRINT_COLUMNS "unit, place, number, state, label_template, device, device_job, ordered_seq, version"
static const struct sql_text PRINT_SAVE = {
    "INSERT INTO print (" PRINT_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)"
    " ON CONFLICT (unit, place, number) DO UPDATE SET state = excluded.state,"
    " label_template = excluded.label_template, device = excluded.device, device_job = excluded.device_job,"
    " ordered_seq = excluded.ordered_seq, version = excluded.version WHERE print.version <= excluded.version",
    "ttitttiii"};
static const struct sql_text PRINT_LOAD = {
    "SELECT " PRINT_COLUMNS " FROM print WHERE unit = $1 AND place = $2 AND number = $3", "tti"};
static const struct sql_text PRINT_EACH_IN_STATE = {
    "SELECT " PRINT_COLUMNS
    " FROM print WHERE state = $1 ORDER BY ordered_seq NULLS FIRST, unit, place, number LIMIT $2",
    "ti"};
static const struct sql_text PRINT_EACH_OF_UNIT = {
    "SELECT " PRINT_COLUMNS " FROM print WHERE unit = $1 ORDER BY number, place", "t"};
static const struct sql_text PRINT_EACH = {"SELECT " PRINT_COLUMNS " FROM print ORDER BY unit, place, number", ""};

bool print_save(struct ledger *ledger, const struct print *row, struct fault *fault)
{
    return row_save(ledger, &PRINT_SAVE, &PRINT_FIELDS, row, fault);
}

bool print_load(struct ledger *ledger, const char *unit, const char *place, int64_t number, struct print *row,
                bool *found, struct fault *fault)
{
    return row_load(ledger, &PRINT_LOAD, ROW_KEYS({.text = unit}, {.text = place}, {.whole = number}), &PRINT_FIELDS,
                    row, sizeof *row, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, print_visitor *visit,
                 void *context, struct fault *fault)
{
    struct row_walk walk;
    struct print row;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &PRINT_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool print_each_in_state(struct ledger *ledger, enum print_state state, int64_t limit, print_visitor *visit,
                         void *context, struct fault *fault)
{
    return each(ledger, &PRINT_EACH_IN_STATE, ROW_KEYS({.text = print_state_word(state)}, {.whole = limit}), visit,
                context, fault);
}

bool print_each_of_unit(struct ledger *ledger, const char *unit, print_visitor *visit, void *context,
                        struct fault *fault)
{
    return each(ledger, &PRINT_EACH_OF_UNIT, ROW_KEYS({.text = unit}), visit, context, fault);
}

bool print_each(struct ledger *ledger, print_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &PRINT_EACH, NULL, visit, context, fault);
}
