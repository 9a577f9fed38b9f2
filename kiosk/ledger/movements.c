#include "kiosk/ledger/movements.h"

#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/movement_field.h"
#include "kiosk/ledger/movement_hash.h"
#include "kiosk/ledger/row.h"
#include "labels/basics/text.h"

/* The columns stand in the order of movement_fields, so that no field can be stored and not hashed or the reverse;
 * then the form and the hash. */
#define MOVEMENT_COLUMNS                                                                                               \
    "seq, act, kind, at_ms, local_day, trusted, kiosk, person, unit, other, item, lot, place, printer, delivery, job," \
    " word, amount_ul, minutes, pieces, filled, expires, refers, text_id, detail, form, hash"
enum { FORM_COLUMN = MOVEMENT_FIELD_COUNT, HASH_COLUMN, PAGE_ROWS = 500 };

static const struct sql_text INSERT = {"INSERT INTO movement (" MOVEMENT_COLUMNS
                                       ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14,"
                                       " $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27)",
                                       "ittiiitttttttttttiiiiiittib"};
static const struct sql_text EACH = {"SELECT " MOVEMENT_COLUMNS " FROM movement WHERE seq > $1 ORDER BY seq LIMIT $2",
                                     "ii"};
static const struct sql_text EACH_OF_UNIT = {
    "SELECT " MOVEMENT_COLUMNS " FROM movement WHERE unit = $3 AND seq > $1"
    " UNION ALL SELECT " MOVEMENT_COLUMNS " FROM movement WHERE other = $3 AND (unit IS NULL OR unit <> $3)"
    " AND seq > $1 ORDER BY seq LIMIT $2", /* two indexes, merged in their own order: no page sorts a long history */
    "iit"};
static const struct sql_text LAST_OF_UNIT = {
    "SELECT " MOVEMENT_COLUMNS " FROM movement WHERE unit = $1 AND kind = $2 ORDER BY seq DESC LIMIT 1", "tt"};

static void bind_field(struct sql_statement *statement, int parameter, const struct movement *movement,
                       const struct movement_field *field)
{
    if (field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL ||
        field->type == MOVEMENT_FIELD_KIND) {
        const char *text = movement_field_text(movement, field);
        if (*text)
            sql_bind_text(statement, parameter, text);
        else
            sql_bind_null(statement, parameter);
        return;
    }
    const int64_t number = movement_field_number(movement, field);
    if (number == MOVEMENT_NULL)
        sql_bind_null(statement, parameter);
    else
        sql_bind_whole(statement, parameter, number);
}

bool movement_insert(struct ledger *ledger, const struct movement *movement, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &INSERT, &statement, fault))
        return false;
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++)
        bind_field(statement, i + 1, movement, &movement_fields[i]);
    sql_bind_whole(statement, FORM_COLUMN + 1, MOVEMENT_FORM);
    sql_bind_blob(statement, HASH_COLUMN + 1, movement->hash, HASH_BYTES);
    return sql_finish(statement, NULL, fault);
}

/* An empty text is NULL in this table: '' would read the same and hash the same, and be found by no index. */
static bool read_text(struct sql_statement *statement, int column, const struct movement_field *field, void *at)
{
    struct span text = {0};
    if (!sql_is_of_type(statement, column, 't'))
        return false;
    const bool said = !sql_is_null(statement, column);
    text.at = sql_text(statement, column, &text.length);
    if (said && text.length == 0)
        return false;
    if (field->type != MOVEMENT_FIELD_KIND)
        return span_copy(text, at, field->size);
    char word[WORD_SIZE];
    return span_copy(text, word, sizeof word) && movement_kind_read(word, at);
}

static bool read_field(struct sql_statement *statement, int column, const struct movement_field *field, void *at)
{
    const int64_t number = sql_is_null(statement, column) ? MOVEMENT_NULL : sql_whole(statement, column);
    const struct day day = {(int32_t)number};
    const bool flag = number == 1;
    if (!sql_is_of_type(statement, column, 'i'))
        return false;
    switch (field->type) {
    case MOVEMENT_FIELD_NUMBER:
    case MOVEMENT_FIELD_DAY:
    case MOVEMENT_FIELD_INSTANT:
        memcpy(at, &number, sizeof number);
        return true;
    case MOVEMENT_FIELD_TODAY:
        memcpy(at, &day, sizeof day);
        return number >= INT32_MIN && number <= INT32_MAX;
    case MOVEMENT_FIELD_FLAG:
        memcpy(at, &flag, sizeof flag);
        return number == 0 || number == 1;
    default:
        return false;
    }
}

static bool read_movement(struct sql_statement *statement, struct movement *movement, struct fault *fault)
{
    const char *trouble = NULL;
    movement_init(movement, MOVEMENT_ITEM_ENTRY);
    for (int i = 0; i < MOVEMENT_FIELD_COUNT && !trouble; i++) {
        const struct movement_field *field = &movement_fields[i];
        const bool text = field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL ||
                          field->type == MOVEMENT_FIELD_KIND;
        void *at = (char *)movement + field->offset;
        if (!(text ? read_text(statement, i, field, at) : read_field(statement, i, field, at)))
            trouble = field->name;
    }
    size_t length = 0;
    if (!trouble && !sql_is_of_type(statement, HASH_COLUMN, 'b'))
        trouble = "hash";
    if (!trouble && !sql_is_of_type(statement, FORM_COLUMN, 'i'))
        trouble = "form";
    const uint8_t *hash = sql_blob(statement, HASH_COLUMN, &length);
    if (length == HASH_BYTES)
        memcpy(movement->hash, hash, HASH_BYTES);
    else if (!trouble)
        trouble = "hash";
    if (!trouble && sql_whole(statement, FORM_COLUMN) != MOVEMENT_FORM)
        trouble = "form";
    return sql_check_read(statement, fault) &&
           (!trouble || fault_set(fault, FAULT_DAMAGED,
                                  "movement %lld of the ledger holds a %s that no kiosk wrote: run 'ambershelf verify' "
                                  "and go back to the newest backup",
                                  (long long)movement->seq, trouble));
}

struct page {
    int64_t after, rows; /* last number seen, rows of this page */
    bool stopped;
};

static bool visit_page(struct sql_statement *statement, struct page *page, ledger_visitor *visit, void *context,
                       struct fault *fault)
{
    struct movement movement;
    bool row = true;
    page->rows = 0;
    while (!page->stopped) {
        if (!sql_step(statement, &row, fault))
            return false;
        if (!row)
            return true;
        if (!read_movement(statement, &movement, fault))
            return false;
        page->rows++;
        page->after = movement.seq;
        page->stopped = !visit(&movement, context);
    }
    return true;
}

/* A page at a time: libpq holds all rows of an answer in memory, and a ledger grows for years. */
static bool each(struct ledger *ledger, const struct sql_text *text, const char *key, int64_t after_seq, int64_t limit,
                 ledger_visitor *visit, void *context, struct fault *fault)
{
    struct page page = {.after = after_seq};
    while (limit > 0 && !page.stopped) {
        const int64_t most = limit < PAGE_ROWS ? limit : PAGE_ROWS;
        struct sql_statement *statement = NULL;
        if (!sql_start(ledger_sql(ledger), text, &statement, fault))
            return false;
        sql_bind_whole(statement, 1, page.after);
        sql_bind_whole(statement, 2, most);
        if (key)
            sql_bind_text(statement, 3, key);
        const bool fine = visit_page(statement, &page, visit, context, fault);
        sql_done(statement);
        if (!fine)
            return false;
        if (page.rows < most)
            return true;
        limit -= page.rows;
    }
    return true;
}

bool ledger_each(struct ledger *ledger, int64_t after_seq, int64_t limit, ledger_visitor *visit, void *context,
                 struct fault *fault)
{
    return each(ledger, &EACH, NULL, after_seq, limit, visit, context, fault);
}

bool ledger_each_of_unit(struct ledger *ledger, const char *serial, int64_t after_seq, ledger_visitor *visit,
                         void *context, struct fault *fault)
{
    return each(ledger, &EACH_OF_UNIT, serial, after_seq, INT64_MAX, visit, context, fault);
}

struct of_act {
    const char *act;
    ledger_visitor *visit;
    void *context;
};

static bool visit_of_act(const struct movement *movement, void *context)
{
    const struct of_act *of = context;
    return strcmp(movement->act, of->act) != 0 || of->visit(movement, of->context);
}

/* An act books its movements in one go, so the first and last number are all there is to know. The one under way is not
 * stored yet: all it can have booked came after its savepoint. */
bool ledger_each_of_act(struct ledger *ledger, const char *act, ledger_visitor *visit, void *context,
                        struct fault *fault)
{
    struct of_act of = {.act = act, .visit = visit, .context = context};
    struct act_row row;
    bool found = false;
    if (!act_row_find(ledger, act, &row, NULL, &found, fault))
        return false;
    if (!found && ledger->in_group)
        return ledger_each(ledger, ledger->saved.seq, INT64_MAX, visit_of_act, &of, fault);
    if (!found || row.first_seq == MOVEMENT_NULL)
        return true;
    return ledger_each(ledger, row.first_seq - 1, row.last_seq - row.first_seq + 1, visit_of_act, &of, fault);
}

static bool last_under(struct ledger *ledger, const char *serial, enum movement_kind kind, struct movement *movement,
                       bool *found, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    struct movement last;
    bool row = false;
    if (!sql_start(ledger_sql(ledger), &LAST_OF_UNIT, &statement, fault))
        return false;
    sql_bind_text(statement, 1, serial);
    sql_bind_text(statement, 2, movement_kind_word(kind));
    const bool read = sql_step(statement, &row, fault) && (!row || read_movement(statement, &last, fault));
    sql_done(statement);
    if (read && row)
        *movement = last;
    if (read)
        *found = row;
    return read;
}

bool ledger_last_of_unit(struct ledger *ledger, const char *serial, enum movement_kind kind, struct movement *movement,
                         bool *found, struct fault *fault)
{
    struct movement relabel = {.other = ""};
    bool renamed = true;
    (void)span_copy(span_of(serial), relabel.other, sizeof relabel.other);
    do { /* under the serial it has, else under the one it had before */
        if (!last_under(ledger, relabel.other, kind, movement, found, fault))
            return false;
        if (*found || kind == MOVEMENT_RELABEL)
            return true;
        if (!last_under(ledger, relabel.other, MOVEMENT_RELABEL, &relabel, &renamed, fault))
            return false;
    } while (renamed);
    return true;
}
