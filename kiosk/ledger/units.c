#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

#define UNIT_COLUMNS                                                                                                   \
    "serial, item, resin, lot, status, place, holder, printer, job, delivery, hold, film, filled, expires, amount_ul," \
    " minutes, labelled, prints, out_since_ms, estimated, recovered, first_filled, opened, tare_dg, heir, reserved,"   \
    " reserved_until, due, pair, stood_ms, inspected_minutes, surface_minutes, version"

const char *unit_status_word(enum unit_status status)
{
    static const char *const words[] = {"in", "out", "retired", "gone", "void", "relabelled", "tray"};
    _Static_assert(sizeof words / sizeof *words == UNIT_STATUSES, "one word a status");
    return (unsigned)status < UNIT_STATUSES ? words[status] : "unknown";
}

bool unit_status_read(const char *word, enum unit_status *status)
{
    for (unsigned i = 0; i < UNIT_STATUSES; i++)
        if (strcmp(word, unit_status_word((enum unit_status)i)) == 0) {
            *status = (enum unit_status)i;
            return true;
        }
    return false;
}

static const char *status_word(unsigned value)
{
    return unit_status_word((enum unit_status)value);
}

static const struct row_words STATUS_WORDS = {UNIT_STATUSES, status_word};
static const struct row_field UNIT_LIST[] = {
    ROW_FIELD(TEXT, unit, serial),
    ROW_FIELD(TEXT, unit, item),
    ROW_FIELD(TEXT, unit, resin),
    ROW_FIELD(TEXT, unit, lot),
    ROW_WORD_FIELD(unit, status, &STATUS_WORDS),
    ROW_FIELD(TEXT, unit, place),
    ROW_FIELD(TEXT, unit, holder),
    ROW_FIELD(TEXT, unit, printer),
    ROW_FIELD(TEXT, unit, job),
    ROW_FIELD(TEXT, unit, delivery),
    ROW_FIELD(TEXT, unit, hold),
    ROW_FIELD(TEXT, unit, film),
    ROW_FIELD(WHOLE, unit, filled),
    ROW_FIELD(WHOLE, unit, expires),
    ROW_FIELD(WHOLE, unit, amount_ul),
    ROW_FIELD(WHOLE, unit, minutes),
    ROW_FIELD(FLAG, unit, labelled),
    ROW_FIELD(WHOLE, unit, prints),
    ROW_FIELD(WHOLE, unit, out_since_ms),
    ROW_FIELD(FLAG, unit, estimated),
    ROW_FIELD(FLAG, unit, recovered),
    ROW_FIELD(WHOLE, unit, first_filled),
    ROW_FIELD(WHOLE, unit, opened),
    ROW_FIELD(WHOLE, unit, tare_dg),
    ROW_FIELD(TEXT, unit, heir),
    ROW_FIELD(TEXT, unit, reserved),
    ROW_FIELD(WHOLE, unit, reserved_until),
    ROW_FIELD(WHOLE, unit, due),
    ROW_FIELD(TEXT, unit, pair),
    ROW_FIELD(WHOLE, unit, stood_ms),
    ROW_FIELD(WHOLE, unit, inspected_minutes),
    ROW_FIELD(WHOLE, unit, surface_minutes),
    ROW_FIELD(WHOLE, unit, version),
};
static const struct sql_text UNIT_LOAD = {"SELECT " UNIT_COLUMNS " FROM unit WHERE serial = $1", "t"};
static const struct row_fields UNIT_FIELDS = ROW_FIELDS_KEPT("unit", UNIT_LIST, &UNIT_LOAD);

static const struct sql_text UNIT_SAVE = {
    "INSERT INTO unit (" UNIT_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15,"
    " $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27, $28, $29, $30, $31, $32, $33)"
    " ON CONFLICT (serial) DO UPDATE SET item = excluded.item,"
    " resin = excluded.resin, lot = excluded.lot, status = excluded.status, place = excluded.place,"
    " holder = excluded.holder, printer = excluded.printer, job = excluded.job, delivery = excluded.delivery,"
    " hold = excluded.hold, film = excluded.film, filled = excluded.filled, expires = excluded.expires,"
    " amount_ul = excluded.amount_ul, minutes = excluded.minutes, labelled = excluded.labelled,"
    " prints = excluded.prints, out_since_ms = excluded.out_since_ms, estimated = excluded.estimated,"
    " recovered = excluded.recovered, first_filled = excluded.first_filled, opened = excluded.opened,"
    " tare_dg = excluded.tare_dg, heir = excluded.heir, reserved = excluded.reserved,"
    " reserved_until = excluded.reserved_until, due = excluded.due, pair = excluded.pair,"
    " stood_ms = excluded.stood_ms, inspected_minutes = excluded.inspected_minutes,"
    " surface_minutes = excluded.surface_minutes, version = excluded.version"
    " WHERE unit.version <= excluded.version",
    "ttttttttttttiiiiiiiiiiiittiitiiii"};
static const struct sql_text UNIT_MOVE = {
    "UPDATE unit SET resin = $3, status = $5, place = $6, holder = $7, printer = $8, job = $9, hold = $11, film = $12,"
    " filled = $13, expires = $14, amount_ul = $15, minutes = $16, labelled = $17, prints = $18, out_since_ms = $19,"
    " estimated = $20, recovered = $21, first_filled = $22, opened = $23, tare_dg = $24, heir = $25,"
    " reserved = $26, reserved_until = $27, due = $28, pair = $29, stood_ms = $30, inspected_minutes = $31,"
    " surface_minutes = $32, version = $33"
    " WHERE serial = $1 AND item = $2 AND lot = $4 AND delivery = $10 AND version <= $33",
    "ttttttttttttiiiiiiiiiiiittiitiiii"};

#define IS_A_THING "status <> 'void' AND status <> 'tray'"
#define UNIT_EACH(condition)                                                                                           \
    {                                                                                                                  \
        "SELECT " UNIT_COLUMNS " FROM unit WHERE " condition " AND " IS_A_THING " AND serial > $2 ORDER BY serial"     \
        " LIMIT $3",                                                                                                   \
            "tti"                                                                                                      \
    }
static const struct sql_text UNIT_EACH_BY[] = {
    /* `<> ''` is the condition of the partial index, which is used only where it stands */
    [UNIT_BY_PLACE] = UNIT_EACH("place = $1 AND place <> ''"),
    [UNIT_BY_PRINTER] = UNIT_EACH("printer = $1 AND printer <> '' AND status = 'out'"),
    [UNIT_BY_HOLDER] = UNIT_EACH("holder = $1 AND holder <> ''"),
    [UNIT_BY_DELIVERY] = UNIT_EACH("delivery = $1 AND delivery <> ''"),
    [UNIT_BY_RESERVED] = UNIT_EACH("reserved = $1 AND reserved <> ''"),
    [UNIT_BY_ITEM] = UNIT_EACH("item = $1"),
    [UNIT_BY_ALL] = {"SELECT " UNIT_COLUMNS " FROM unit WHERE " IS_A_THING " AND serial > $1 ORDER BY serial LIMIT $2",
                     "ti"},
};
_Static_assert(sizeof UNIT_EACH_BY / sizeof *UNIT_EACH_BY == UNIT_BY_ALL + 1, "one statement a variant");
static const struct sql_text UNIT_EACH_OF_LOT = {
    "SELECT " UNIT_COLUMNS " FROM unit WHERE item = $1 AND lot = $2 AND " IS_A_THING " AND serial > $3"
    " ORDER BY serial LIMIT $4",
    "ttti"};
static const struct sql_text UNIT_EACH_PRESENT_OF_LOT = {
    "SELECT " UNIT_COLUMNS " FROM unit WHERE item = $1 AND lot = $2 AND status IN ('in', 'out') AND serial > $3"
    " ORDER BY serial LIMIT $4",
    "ttti"};
static const struct sql_text UNIT_EACH_DUE = {
    /* `IS NOT NULL` is the condition of the partial index */
    "SELECT " UNIT_COLUMNS " FROM unit WHERE due IS NOT NULL AND status = 'out' ORDER BY due, serial LIMIT $1", "i"};
static const struct sql_text UNIT_COUNT_OF_DELIVERY = {
    "SELECT CAST(COUNT(*) AS BIGINT), CAST(COALESCE(SUM(labelled), 0) AS BIGINT) FROM unit"
    " WHERE delivery = $1 AND delivery <> '' AND status <> 'void'",
    "t"};
static const struct sql_text UNIT_COUNT_IN_PLACE = {
    "SELECT CAST(COUNT(*) AS BIGINT) FROM (SELECT 1 FROM unit WHERE place = $1 AND place <> ''"
    " AND status IN ('in', 'out') LIMIT 100) AS few", /* UNIT_IN_PLACE_MOST */
    "t"};
static const struct sql_text UNIT_EACH_ROW = {"SELECT " UNIT_COLUMNS " FROM unit ORDER BY serial", ""};

/* What a unit is never changes but by a fill or a correction: leaving those columns alone leaves their indexes alone.
 */
static bool is_same_thing(const struct unit *before, const struct unit *after)
{
    return strcmp(before->item, after->item) == 0 && strcmp(before->lot, after->lot) == 0 &&
           strcmp(before->delivery, after->delivery) == 0;
}

bool unit_save(struct ledger *ledger, const struct unit *row, struct fault *fault)
{
    struct unit before;
    bool found = false;
    if (!unit_load(ledger, row->serial, &before, &found, fault))
        return false;
    const bool moves = found && is_same_thing(&before, row);
    return row_save(ledger, moves ? &UNIT_MOVE : &UNIT_SAVE, &UNIT_FIELDS, row, fault) &&
           stock_change(ledger, found ? &before : NULL, row, fault);
}

bool unit_load(struct ledger *ledger, const char *serial, struct unit *unit, bool *found, struct fault *fault)
{
    return row_load(ledger, &UNIT_LOAD, ROW_KEYS({.text = serial}), &UNIT_FIELDS, unit, sizeof *unit, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, unit_visitor *visit,
                 void *context, struct fault *fault)
{
    struct row_walk walk;
    struct unit row;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &UNIT_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool unit_each(struct ledger *ledger, enum unit_by by, const char *key, const char *after, int64_t limit,
               unit_visitor *visit, void *context, struct fault *fault)
{
    if (by == UNIT_BY_ALL)
        return each(ledger, &UNIT_EACH_BY[by], ROW_KEYS({.text = after}, {.whole = limit}), visit, context, fault);
    return each(ledger, &UNIT_EACH_BY[by], ROW_KEYS({.text = key}, {.text = after}, {.whole = limit}), visit, context,
                fault);
}

bool unit_each_of_lot(struct ledger *ledger, const char *item, const char *lot, const char *after, int64_t limit,
                      unit_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &UNIT_EACH_OF_LOT, ROW_KEYS({.text = item}, {.text = lot}, {.text = after}, {.whole = limit}),
                visit, context, fault);
}

bool unit_each_present_of_lot(struct ledger *ledger, const char *item, const char *lot, const char *after,
                              int64_t limit, unit_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &UNIT_EACH_PRESENT_OF_LOT,
                ROW_KEYS({.text = item}, {.text = lot}, {.text = after}, {.whole = limit}), visit, context, fault);
}

bool unit_each_due(struct ledger *ledger, int64_t limit, unit_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &UNIT_EACH_DUE, ROW_KEYS({.whole = limit}), visit, context, fault);
}

bool unit_each_row(struct ledger *ledger, unit_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &UNIT_EACH_ROW, NULL, visit, context, fault);
}

/* One row of whole numbers, such as counts. */
static bool count(struct ledger *ledger, const struct sql_text *text, const char *key, int64_t *counts, int columns,
                  struct fault *fault)
{
    static const struct row_field list[] = {{ROW_WHOLE, 0, sizeof(int64_t), NULL},
                                            {ROW_WHOLE, sizeof(int64_t), sizeof(int64_t), NULL}};
    const struct row_fields fields = {"unit", columns, list};
    struct row_walk walk;
    if (!row_walk_start(&walk, ledger, text, ROW_KEYS({.text = key}), fault))
        return false;
    (void)row_walk_next(&walk, &fields, counts, fault);
    return row_walk_end(&walk);
}

_Static_assert(UNIT_IN_PLACE_MOST == 100, "as UNIT_COUNT_IN_PLACE says");

bool unit_count_in_place(struct ledger *ledger, const char *place, int64_t *units, struct fault *fault)
{
    int64_t counts[1] = {0};
    if (!count(ledger, &UNIT_COUNT_IN_PLACE, place, counts, 1, fault))
        return false;
    *units = counts[0];
    return true;
}

bool unit_count_of_delivery(struct ledger *ledger, const char *delivery, int64_t *units, int64_t *proved,
                            struct fault *fault)
{
    int64_t counts[2] = {0, 0};
    if (!count(ledger, &UNIT_COUNT_OF_DELIVERY, delivery, counts, 2, fault))
        return false;
    *units = counts[0];
    *proved = counts[1];
    return true;
}
