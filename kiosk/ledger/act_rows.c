#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/row.h"

static const struct row_field ACT_LIST[] = {
    ROW_FIELD(TEXT, act_row, id),         ROW_FIELD(TEXT, act_row, kind),      ROW_FIELD(TEXT, act_row, counter),
    ROW_FIELD(TEXT, act_row, person),     ROW_FIELD(BYTES, act_row, digest),   ROW_FIELD(WHOLE, act_row, at_ms),
    ROW_FIELD(WHOLE, act_row, first_seq), ROW_FIELD(WHOLE, act_row, last_seq), ROW_FIELD(FLAG, act_row, undone),
};
static const struct row_fields ACT_FIELDS = ROW_FIELDS("act", ACT_LIST);
enum { ANSWER_COLUMN = sizeof ACT_LIST / sizeof *ACT_LIST, NUMBER_COLUMN };

#define ACT_COLUMNS     "a.id, a.kind, a.counter, a.person, a.digest, a.at_ms, a.first_seq, a.last_seq, a.undone, w.answer"
#define ACT_WITH_ANSWER " FROM act AS a LEFT JOIN act_answer AS w ON w.number = a.number"
static const struct sql_text ACT_FIND = {"SELECT " ACT_COLUMNS ACT_WITH_ANSWER " WHERE a.id = $1", "t"};
static const struct sql_text ACT_STORE = {
    "INSERT INTO act (id, kind, counter, person, digest, at_ms, first_seq, last_seq, undone, number)"
    " VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    "ttttbiiiii"};
static const struct sql_text ANSWER_STORE = {"INSERT INTO act_answer (number, at_ms, answer) VALUES ($1, $2, $3)",
                                             "iit"};
static const struct sql_text ACT_UNDONE = {"UPDATE act SET undone = 1 WHERE id = $1", "t"};
/* The condition is that of the index act_to_undo, word for word. */
static const struct sql_text ACT_LAST = {
    "SELECT " ACT_COLUMNS ACT_WITH_ANSWER " WHERE a.counter = $1 AND a.undone = 0 AND a.kind <> 'undo'"
    " AND a.last_seq IS NOT NULL AND a.counter <> '' ORDER BY a.last_seq DESC NULLS LAST LIMIT 1",
    "t"};
static const struct sql_text ACT_EACH = {
    "SELECT " ACT_COLUMNS ", a.number" ACT_WITH_ANSWER " WHERE a.number > $1 ORDER BY a.number LIMIT $2", "ii"};
static const struct sql_text ACT_LAST_NUMBER = {"SELECT number FROM act ORDER BY number DESC LIMIT 1", ""};
static const struct sql_text ANSWER_FIRST_NUMBER = {"SELECT number FROM act_answer ORDER BY number LIMIT 1", ""};
static const struct sql_text ANSWER_FORGET = {
    "DELETE FROM act_answer WHERE number <= $1 AND (at_ms < $2 OR at_ms > $3)", "iii"};
#define MS_A_DAY INT64_C(86400000)
enum { PAGE_ROWS = 100 }; /* an answer may be long, and libpq holds a whole page */

static char *copy_answer(struct sql_statement *statement)
{
    size_t length = 0;
    const char *text = sql_text(statement, ANSWER_COLUMN, &length);
    return strndup(text, length);
}

bool act_row_find(struct ledger *ledger, const char *id, struct act_row *row, char **answer, bool *found,
                  struct fault *fault)
{
    struct row_walk walk;
    struct act_row fresh;
    char *copy = NULL;
    if (!row_walk_start(&walk, ledger, &ACT_FIND, ROW_KEYS({.text = id}), fault))
        return false;
    const bool there = row_walk_next(&walk, &ACT_FIELDS, &fresh, fault);
    if (there && answer)
        copy = copy_answer(walk.statement);
    if (!row_walk_end(&walk)) {
        free(copy);
        return false;
    }
    if (there && answer && !copy)
        return fault_set(fault, FAULT_STORAGE, "no memory for a stored answer: end other programs and try again");
    if (there)
        *row = fresh;
    if (there && answer)
        *answer = copy;
    *found = there;
    return true;
}

/* 0 when there is none. */
static bool number_of(struct ledger *ledger, const struct sql_text *text, int64_t *number, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!sql_start(ledger_sql(ledger), text, &statement, fault))
        return false;
    const bool read = sql_step(statement, &row, fault);
    if (read)
        *number = row ? sql_whole(statement, 0) : 0;
    sql_done(statement);
    return read;
}

static bool store_row(struct ledger *ledger, const struct act_row *row, int64_t number, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &ACT_STORE, &statement, fault))
        return false;
    row_bind(statement, &ACT_FIELDS, row);
    sql_bind_whole(statement, ANSWER_COLUMN + 1, number);
    return sql_finish(statement, NULL, fault);
}

static bool store_answer(struct ledger *ledger, int64_t at_ms, int64_t number, const char *answer, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &ANSWER_STORE, &statement, fault))
        return false;
    sql_bind_whole(statement, 1, number);
    sql_bind_whole(statement, 2, at_ms);
    sql_bind_text(statement, 3, answer);
    return sql_finish(statement, NULL, fault);
}

/* The head row's lock is held, so that no other kiosk takes the same number. */
bool act_row_store(struct ledger *ledger, const struct act_row *row, const char *answer, struct fault *fault)
{
    if (strlen(answer) >= ACT_ANSWER_SIZE)
        return fault_set(fault, FAULT_INPUT,
                         "the answer to act '%s' has %zu bytes, %d are allowed: do it in smaller "
                         "parts",
                         row->id, strlen(answer), ACT_ANSWER_SIZE - 1);
    if (ledger->last_act == LAST_ACT_UNKNOWN && !number_of(ledger, &ACT_LAST_NUMBER, &ledger->last_act, fault))
        return false;
    const int64_t number = ++ledger->last_act; /* a failure leaves a gap, or rolls back, which forgets it */
    return store_row(ledger, row, number, fault) &&
           (answer[0] == '\0' || store_answer(ledger, row->at_ms, number, answer, fault));
}

bool act_row_forget_answers(struct ledger *ledger, int64_t now_ms, int64_t kept, int64_t *forgotten,
                            struct fault *fault)
{
    int64_t first = 0, last = 0;
    *forgotten = 0;
    if (!number_of(ledger, &ANSWER_FIRST_NUMBER, &first, fault) || !number_of(ledger, &ACT_LAST_NUMBER, &last, fault))
        return false;
    const int64_t oldest_kept = last - kept, slice = first + ACT_ANSWERS_AT_ONCE - 1,
                  to = oldest_kept < slice ? oldest_kept : slice;
    if (first == 0 || to < first)
        return true;
    return row_run(
        ledger, &ANSWER_FORGET,
        ROW_KEYS({.whole = to}, {.whole = now_ms - ACT_ANSWER_DAYS * MS_A_DAY}, {.whole = now_ms + MS_A_DAY}),
        forgotten, fault);
}

bool act_row_mark_undone(struct ledger *ledger, const char *id, struct fault *fault)
{
    int64_t changed = 0;
    if (!row_run(ledger, &ACT_UNDONE, ROW_KEYS({.text = id}), &changed, fault))
        return false;
    return changed == 1 || fault_set(fault, FAULT_MISSING, "act '%s' is not known: nothing to take back", id);
}

bool act_row_last(struct ledger *ledger, const char *counter, struct act_row *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &ACT_LAST, ROW_KEYS({.text = counter}), &ACT_FIELDS, row, sizeof *row, found, fault);
}

struct page {
    int64_t after;
    int rows;
    bool stopped;
};

static bool visit_page(struct ledger *ledger, struct page *page, act_row_visitor *visit, void *context,
                       struct fault *fault)
{
    struct row_walk walk;
    struct act_row row;
    if (!row_walk_start(&walk, ledger, &ACT_EACH, ROW_KEYS({.whole = page->after}, {.whole = PAGE_ROWS}), fault))
        return false;
    page->rows = 0;
    while (!page->stopped && row_walk_next(&walk, &ACT_FIELDS, &row, fault)) {
        size_t length = 0;
        page->rows++;
        page->after = sql_whole(walk.statement, NUMBER_COLUMN);
        page->stopped = !visit(&row, sql_text(walk.statement, ANSWER_COLUMN, &length), context);
    }
    return row_walk_end(&walk);
}

bool act_row_each(struct ledger *ledger, act_row_visitor *visit, void *context, struct fault *fault)
{
    struct page page = {.rows = PAGE_ROWS};
    while (!page.stopped && page.rows == PAGE_ROWS)
        if (!visit_page(ledger, &page, visit, context, fault))
            return false;
    return true;
}
