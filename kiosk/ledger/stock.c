#include "kiosk/ledger/stock.h"

#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"
#include "kiosk/rules/shelf_life.h"

/* "No date" as the table has it: a key is never NULL, and it sorts last. The last day of an int32_t, in the year 5 881
 * 580. */
enum { NO_DAY = 2147483647 };

static const char *status_word(unsigned value)
{
    return unit_status_word((enum unit_status)value);
}

static const struct row_words STATUS_WORDS = {UNIT_STATUSES, status_word};
static const struct row_field STOCK_LIST[] = {
    ROW_FIELD(TEXT, stock_line, item),
    ROW_FIELD(WHOLE, stock_line, expires),
    ROW_FIELD(TEXT, stock_line, lot),
    ROW_WORD_FIELD(stock_line, status, &STATUS_WORDS),
    ROW_FIELD(FLAG, stock_line, held),
    ROW_FIELD(FLAG, stock_line, labelled),
    ROW_FIELD(WHOLE, stock_line, units),
    ROW_FIELD(WHOLE, stock_line, amount_ul),
    ROW_FIELD(WHOLE, stock_line, amount_unknown),
};
static const struct row_fields STOCK_FIELDS = ROW_FIELDS("stock", STOCK_LIST);

#define STOCK_COLUMNS "item, expires, lot, status, held, labelled, units, amount_ul, amount_unknown"
#define STOCK_ORDER   " ORDER BY item, expires, lot, status, held, labelled"
#define STOCK_KEY     "item = $1 AND expires = $2 AND lot = $3 AND status = $4 AND held = $5 AND labelled = $6"
#define STOCK_SUMS                                                                                                     \
    "UPDATE stock SET units = units + $7, amount_ul = amount_ul + $8, amount_unknown = amount_unknown + $9 "           \
    "WHERE " STOCK_KEY
static const struct sql_text STOCK_ADD = {STOCK_SUMS, "tittiiiii"};
static const struct sql_text STOCK_TAKE = {STOCK_SUMS " AND units + $7 > 0", "tittiiiii"};
static const struct sql_text STOCK_NEW = {
    "INSERT INTO stock (" STOCK_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)", "tittiiiii"};
static const struct sql_text STOCK_END = {"DELETE FROM stock WHERE " STOCK_KEY, "tittii"};
static const struct sql_text STOCK_EACH = {"SELECT " STOCK_COLUMNS " FROM stock WHERE item > $1" STOCK_ORDER, "t"};
static const struct sql_text STOCK_EACH_OF_ITEM = {"SELECT " STOCK_COLUMNS " FROM stock WHERE item = $1" STOCK_ORDER,
                                                   "t"};

static const struct sql_text STOCK_UNPROVED = {
    "SELECT CAST(COALESCE(SUM(units), 0) AS BIGINT) FROM stock WHERE labelled = 0", ""};

static const struct row_field TOTAL_LIST[] = {
    ROW_FIELD(TEXT, stock_total, item),       ROW_FIELD(WHOLE, stock_total, units),
    ROW_FIELD(WHOLE, stock_total, out),       ROW_FIELD(WHOLE, stock_total, held),
    ROW_FIELD(WHOLE, stock_total, unproved),  ROW_FIELD(WHOLE, stock_total, expired),
    ROW_FIELD(WHOLE, stock_total, ready),     ROW_FIELD(WHOLE, stock_total, first_expires),
    ROW_FIELD(WHOLE, stock_total, amount_ul), ROW_FIELD(WHOLE, stock_total, amount_unknown),
};
static const struct row_fields TOTAL_FIELDS = ROW_FIELDS("stock", TOTAL_LIST);

#define IS_PROVED "status = 'in' AND held = 0 AND labelled = 1"
static const struct sql_text STOCK_EACH_TOTAL = {
    "SELECT item, CAST(SUM(units) AS BIGINT),"
    " CAST(SUM(CASE WHEN status = 'out' THEN units ELSE 0 END) AS BIGINT),"
    " CAST(SUM(CASE WHEN status = 'in' AND held = 1 THEN units ELSE 0 END) AS BIGINT),"
    " CAST(SUM(CASE WHEN status = 'in' AND held = 0 AND labelled = 0 THEN units ELSE 0 END) AS BIGINT),"
    " CAST(SUM(CASE WHEN " IS_PROVED " AND expires < $1 THEN units ELSE 0 END) AS BIGINT),"
    " CAST(SUM(CASE WHEN " IS_PROVED " AND expires >= $1 THEN units ELSE 0 END) AS BIGINT),"
    " MIN(CASE WHEN " IS_PROVED " AND expires >= $1 AND expires < 2147483647 THEN expires END),"
    " CAST(SUM(amount_ul) AS BIGINT), CAST(SUM(amount_unknown) AS BIGINT) FROM stock GROUP BY item ORDER BY item",
    "i"};

/* The lines from the units themselves. */
static const struct sql_text STOCK_EACH_COUNTED = {
    "SELECT item, COALESCE(expires, 2147483647) AS expires, lot, status, CASE WHEN hold = '' THEN 0 ELSE 1 END AS held,"
    " labelled, CAST(COUNT(*) AS BIGINT) AS units, CAST(COALESCE(SUM(amount_ul), 0) AS BIGINT) AS amount_ul,"
    " CAST(SUM(CASE WHEN amount_ul IS NULL THEN 1 ELSE 0 END) AS BIGINT) AS amount_unknown FROM unit"
    " WHERE status IN ('in', 'out') GROUP BY item, COALESCE(expires, 2147483647), lot, status,"
    " CASE WHEN hold = '' THEN 0 ELSE 1 END, labelled" STOCK_ORDER,
    ""};

/* ---- a unit was saved ---- */

static bool counts(const struct unit *unit)
{
    return unit->status == UNIT_IN || unit->status == UNIT_OUT;
}

static struct stock_line line_of(const struct unit *unit)
{
    struct stock_line line = {.status = unit->status,
                              .held = unit->hold[0] != '\0',
                              .labelled = unit->labelled,
                              .expires = unit->expires == MOVEMENT_NULL ? NO_DAY : unit->expires,
                              .units = 1,
                              .amount_ul = unit->amount_ul == MOVEMENT_NULL ? 0 : unit->amount_ul,
                              .amount_unknown = unit->amount_ul == MOVEMENT_NULL};
    memcpy(line.item, unit->item, sizeof line.item);
    memcpy(line.lot, unit->lot, sizeof line.lot);
    return line;
}

static bool same_line(const struct stock_line *one, const struct stock_line *two)
{
    return one->status == two->status && one->held == two->held && one->labelled == two->labelled &&
           one->expires == two->expires && strcmp(one->item, two->item) == 0 && strcmp(one->lot, two->lot) == 0;
}

/* How many lines it changed: 0 or 1. */
static bool run(struct ledger *ledger, const struct sql_text *text, const struct stock_line *line, int64_t *changed,
                struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), text, &statement, fault))
        return false;
    row_bind(statement, &STOCK_FIELDS, line);
    return sql_finish(statement, changed, fault);
}

static bool add(struct ledger *ledger, const struct stock_line *line, struct fault *fault)
{
    int64_t changed = 0;
    if (line->units == 0 && line->amount_ul == 0 && line->amount_unknown == 0)
        return true;
    return run(ledger, &STOCK_ADD, line, &changed, fault) &&
           (changed == 1 || run(ledger, &STOCK_NEW, line, NULL, fault));
}

/* `line` holds what goes, as numbers below 0. A line that nothing stands in any more would be read for ever: it ends
 * with its last unit. */
static bool take(struct ledger *ledger, const struct stock_line *line, struct fault *fault)
{
    int64_t changed = 0;
    if (!run(ledger, &STOCK_TAKE, line, &changed, fault))
        return false;
    return changed == 1 ||
           row_run(ledger, &STOCK_END,
                   ROW_KEYS({.text = line->item}, {.whole = line->expires}, {.text = line->lot},
                            {.text = unit_status_word(line->status)}, {.whole = line->held}, {.whole = line->labelled}),
                   NULL, fault);
}

bool stock_change(struct ledger *ledger, const struct unit *before, const struct unit *after, struct fault *fault)
{
    const bool counted = before && counts(before);
    struct stock_line old = counted ? line_of(before) : (struct stock_line){0}, fresh = line_of(after);
    if (!counts(after))
        fresh.units = fresh.amount_ul = fresh.amount_unknown = 0;
    if (counted && counts(after) && same_line(&old, &fresh)) {
        fresh.units = 0;
        fresh.amount_ul -= old.amount_ul;
        fresh.amount_unknown -= old.amount_unknown;
        return add(ledger, &fresh, fault);
    }
    old.units = -old.units;
    old.amount_ul = -old.amount_ul;
    old.amount_unknown = -old.amount_unknown;
    return add(ledger, &fresh, fault) && (!counted || take(ledger, &old, fault));
}

/* ---- reading ---- */

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, stock_visitor *visit,
                 void *context, struct fault *fault)
{
    struct row_walk walk;
    struct stock_line line;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &STOCK_FIELDS, &line, fault)) {
        if (line.expires == NO_DAY)
            line.expires = MOVEMENT_NULL;
        if (!visit(&line, context))
            break;
    }
    return row_walk_end(&walk);
}

bool stock_each(struct ledger *ledger, const char *after, stock_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &STOCK_EACH, ROW_KEYS({.text = after}), visit, context, fault);
}

bool stock_each_of_item(struct ledger *ledger, const char *item, stock_visitor *visit, void *context,
                        struct fault *fault)
{
    return each(ledger, &STOCK_EACH_OF_ITEM, ROW_KEYS({.text = item}), visit, context, fault);
}

bool stock_each_total(struct ledger *ledger, struct day today, stock_total_visitor *visit, void *context,
                      struct fault *fault)
{
    struct row_walk walk;
    struct stock_total total;
    if (!row_walk_start(&walk, ledger, &STOCK_EACH_TOTAL, ROW_KEYS({.whole = shelf_life_first_usable(today).number}),
                        fault))
        return false;
    while (row_walk_next(&walk, &TOTAL_FIELDS, &total, fault) && visit(&total, context))
        ;
    return row_walk_end(&walk);
}

struct unproved {
    int64_t units;
};
static const struct row_field UNPROVED_LIST[] = {ROW_FIELD(WHOLE, unproved, units)};
static const struct row_fields UNPROVED_FIELDS = ROW_FIELDS("stock", UNPROVED_LIST);

bool stock_count_unproved(struct ledger *ledger, int64_t *units, struct fault *fault)
{
    struct unproved row = {0};
    bool found;
    if (!row_load(ledger, &STOCK_UNPROVED, NULL, &UNPROVED_FIELDS, &row, sizeof row, &found, fault))
        return false;
    *units = row.units;
    return true;
}

/* ---- comparing with the units ---- */

static int order(const struct stock_line *one, const struct stock_line *two)
{
    int by = strcmp(one->item, two->item);
    if (by == 0)
        by = (one->expires > two->expires) - (one->expires < two->expires);
    if (by == 0)
        by = strcmp(one->lot, two->lot);
    if (by == 0)
        by = strcmp(unit_status_word(one->status), unit_status_word(two->status));
    if (by == 0)
        by = one->held - two->held;
    return by != 0 ? by : one->labelled - two->labelled;
}

static bool same_sums(const struct stock_line *one, const struct stock_line *two)
{
    return one->units == two->units && one->amount_ul == two->amount_ul && one->amount_unknown == two->amount_unknown;
}

bool stock_compare(struct ledger *ledger, int64_t *lines, int64_t *different, struct stock_line *first,
                   struct fault *fault)
{
    struct row_walk kept, counted;
    struct stock_line one = {.item = ""}, two = {.item = ""};
    int64_t seen = 0, wrong = 0;
    if (!row_walk_start(&kept, ledger, &STOCK_EACH, ROW_KEYS({.text = ""}), fault))
        return false;
    if (!row_walk_start(&counted, ledger, &STOCK_EACH_COUNTED, NULL, fault)) {
        (void)row_walk_end(&kept);
        return false;
    }
    bool has_one = row_walk_next(&kept, &STOCK_FIELDS, &one, fault);
    bool has_two = row_walk_next(&counted, &STOCK_FIELDS, &two, fault);
    while ((has_one || has_two) && !kept.failed && !counted.failed) {
        const int by = !has_two ? -1 : !has_one ? 1 : order(&one, &two);
        seen++;
        if (by != 0 || !same_sums(&one, &two)) {
            if (wrong++ == 0)
                *first = by <= 0 ? one : two;
        }
        if (by <= 0)
            has_one = row_walk_next(&kept, &STOCK_FIELDS, &one, fault);
        if (by >= 0)
            has_two = row_walk_next(&counted, &STOCK_FIELDS, &two, fault);
    }
    const bool read = row_walk_end(&kept), read_too = row_walk_end(&counted);
    *lines = seen;
    *different = wrong;
    return read && read_too;
}
