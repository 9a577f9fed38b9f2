#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/row.h"

static const struct row_field ACT_LIST[] = {
    ROW_FIELD(TEXT, act_row, id),         ROW_FIELD(TEXT, act_row, kind),      ROW_FIELD(TEXT, act_row, counter),
    ROW_FIELD(TEXT, act_row, person),     ROW_FIELD(BYTES, act_row, digest),   ROW_FIELD(WHOLE, act_row, at_ms),
    ROW_FIELD(WHOLE, act_row, first_seq), ROW_FIELD(WHOLE, act_row, last_seq), ROW_FIELD(FLAG, act_row, undone),
};
static const struct row_fields ACT_FIELDS = ROW_FIELDS("act", ACT_LIST);
enum { ANSWER_COLUMN = sizeof ACT_LIST / sizeof *ACT_LIST };

#define ACT_COLUMNS "id, kind, counter, person, digest, at_ms, first_seq, last_seq, undone, answer"
static const struct sql_text ACT_FIND = {"SELECT " ACT_COLUMNS " FROM act WHERE id = $1", "t"};
static const struct sql_text ACT_STORE = {
    "INSERT INTO act (" ACT_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)", "ttttbiiiit"};
static const struct sql_text ACT_UNDONE = {"UPDATE act SET undone = 1 WHERE id = $1", "t"};
static const struct sql_text ACT_LAST = {
    "SELECT " ACT_COLUMNS " FROM act WHERE counter = $1 AND last_seq IS NOT NULL AND undone = 0 AND kind <> 'undo'"
    " ORDER BY last_seq DESC NULLS LAST LIMIT 1",
    "t"};
static const struct sql_text ACT_EACH = {"SELECT " ACT_COLUMNS " FROM act WHERE id > $1 ORDER BY id LIMIT $2", "ti"};
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

bool act_row_store(struct ledger *ledger, const struct act_row *row, const char *answer, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (strlen(answer) >= ACT_ANSWER_SIZE)
        return fault_set(fault, FAULT_INPUT,
                         "the answer to act '%s' has %zu bytes, %d are allowed: do it in smaller "
                         "parts",
                         row->id, strlen(answer), ACT_ANSWER_SIZE - 1);
    if (!sql_start(ledger_sql(ledger), &ACT_STORE, &statement, fault))
        return false;
    row_bind(statement, &ACT_FIELDS, row);
    sql_bind_text(statement, ANSWER_COLUMN + 1, answer);
    return sql_finish(statement, NULL, fault);
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
    char after[ACT_ID_SIZE];
    int rows;
    bool stopped;
};

static bool visit_page(struct ledger *ledger, struct page *page, act_row_visitor *visit, void *context,
                       struct fault *fault)
{
    struct row_walk walk;
    struct act_row row;
    if (!row_walk_start(&walk, ledger, &ACT_EACH, ROW_KEYS({.text = page->after}, {.whole = PAGE_ROWS}), fault))
        return false;
    page->rows = 0;
    while (!page->stopped && row_walk_next(&walk, &ACT_FIELDS, &row, fault)) {
        size_t length = 0;
        page->rows++;
        page->stopped = !visit(&row, sql_text(walk.statement, ANSWER_COLUMN, &length), context);
        memcpy(page->after, row.id, sizeof row.id);
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
