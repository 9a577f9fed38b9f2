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
    ROW_FIELD(WHOLE, print, ordered_ms),    ROW_FIELD(TEXT, print, batch),
    ROW_FIELD(WHOLE, print, rank),          ROW_FIELD(WHOLE, print, version),
};
static const struct row_fields PRINT_FIELDS = ROW_FIELDS("print", PRINT_LIST);

#define PRINT_COLUMNS                                                                                                  \
    "unit, place, number, state, label_template, device, device_job, ordered_seq, ordered_ms, batch, rank, version"
static const struct sql_text PRINT_SAVE = {
    "INSERT INTO print (" PRINT_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)"
    " ON CONFLICT (unit, place, number) DO UPDATE SET state = excluded.state,"
    " label_template = excluded.label_template, device = excluded.device, device_job = excluded.device_job,"
    " ordered_seq = excluded.ordered_seq, ordered_ms = excluded.ordered_ms, batch = excluded.batch,"
    " rank = excluded.rank, version = excluded.version WHERE print.version <= excluded.version",
    "ttitttiiitii"};
static const struct sql_text PRINT_LOAD = {
    "SELECT " PRINT_COLUMNS " FROM print WHERE unit = $1 AND place = $2 AND number = $3", "tti"};
static const struct sql_text PRINT_EACH_IN_STATE = {
    "SELECT " PRINT_COLUMNS " FROM print WHERE state = $1 ORDER BY rank, unit, place, number LIMIT $2", "ti"};
static const struct sql_text PRINT_EACH_OF_UNIT = {
    "SELECT " PRINT_COLUMNS " FROM print WHERE unit = $1 ORDER BY number, place", "t"};
#define P_COLUMNS                                                                                                      \
    "p.unit, p.place, p.number, p.state, p.label_template, p.device, p.device_job, p.ordered_seq, p.ordered_ms,"       \
    " p.batch, p.rank, p.version"
/* A rank is the number of a movement about this one label, so the smallest of a batch is one row. */
static const struct sql_text PRINT_EACH_BATCH = {
    "SELECT " P_COLUMNS ", w.labels FROM (SELECT batch, CAST(COUNT(*) AS BIGINT) AS labels, MIN(rank) AS first"
    " FROM print WHERE state = 'waiting' GROUP BY batch) w JOIN print p ON p.state = 'waiting' AND p.rank = w.first"
    " AND p.batch = w.batch ORDER BY p.rank, p.unit, p.place, p.number LIMIT $1",
    "i"};
static const struct sql_text PRINT_EACH_OPEN = {
    "SELECT " P_COLUMNS " FROM print p LEFT JOIN unit u ON u.serial = p.unit"
    " WHERE p.state IN ('printed', 'failed', 'unknown', 'withdrawn') AND p.ordered_seq > $1"
    " AND NOT EXISTS (SELECT 1 FROM print later WHERE later.unit = p.unit AND later.place = p.place"
    " AND later.number > p.number)"
    " AND ((u.serial IS NULL AND p.state <> 'withdrawn')"
    " OR (u.status IN ('in', 'out', 'tray') AND (u.labelled = 0 OR p.state <> 'withdrawn')))"
    " ORDER BY p.ordered_seq, p.unit, p.place, p.number LIMIT $2",
    "ii"};
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

bool print_each_open(struct ledger *ledger, int64_t after_seq, int64_t limit, print_visitor *visit, void *context,
                     struct fault *fault)
{
    return each(ledger, &PRINT_EACH_OPEN, ROW_KEYS({.whole = after_seq}, {.whole = limit}), visit, context, fault);
}

bool print_each_batch(struct ledger *ledger, int64_t limit, print_batch_visitor *visit, void *context,
                      struct fault *fault)
{
    struct row_walk walk;
    struct print next;
    if (!row_walk_start(&walk, ledger, &PRINT_EACH_BATCH, ROW_KEYS({.whole = limit}), fault))
        return false;
    while (row_walk_next(&walk, &PRINT_FIELDS, &next, fault) &&
           visit(&next, sql_whole(walk.statement, PRINT_FIELDS.count), context))
        ;
    return row_walk_end(&walk);
}

bool print_each(struct ledger *ledger, print_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &PRINT_EACH, NULL, visit, context, fault);
}
