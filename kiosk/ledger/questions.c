#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

/* The table holds the key of the note, never the note: that is in the erasable table. */
struct question_row {
    struct question question;
    char text[TEXT_ID_SIZE];
};
static const struct row_field QUESTION_LIST[] = {
    ROW_FIELD(WHOLE, question_row, question.seq),
    ROW_FIELD(TEXT, question_row, question.code),
    ROW_FIELD(TEXT, question_row, question.unit),
    ROW_FIELD(TEXT, question_row, question.person),
    ROW_FIELD(TEXT, question_row, text),
    ROW_FIELD(FLAG, question_row, question.open),
    ROW_FIELD(WHOLE, question_row, question.opened_ms),
    ROW_FIELD(WHOLE, question_row, question.version),
};
static const struct row_fields QUESTION_FIELDS = ROW_FIELDS("question", QUESTION_LIST);
enum { NOTE_COLUMN = sizeof QUESTION_LIST / sizeof *QUESTION_LIST };

#define QUESTION_SELECT                                                                                                \
    "SELECT q.seq, q.code, q.unit, q.person, q.text_id, q.is_open, q.opened_ms, q.version, t.value"                    \
    " FROM question AS q LEFT JOIN erasable_text AS t ON t.id = q.text_id"

static const struct sql_text QUESTION_SAVE = {
    "INSERT INTO question (seq, code, unit, person, text_id, is_open, opened_ms, version)"
    " VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT (seq) DO UPDATE SET code = excluded.code,"
    " unit = excluded.unit, person = excluded.person, is_open = excluded.is_open, opened_ms = excluded.opened_ms,"
    " version = excluded.version,"
    " text_id = CASE WHEN excluded.text_id = '' THEN question.text_id ELSE excluded.text_id END"
    " WHERE question.version <= excluded.version",
    "ittttiii"};
static const struct sql_text QUESTION_LOAD = {QUESTION_SELECT " WHERE q.seq = $1", "i"};
static const struct sql_text QUESTION_EACH_OPEN = {QUESTION_SELECT " WHERE q.is_open = 1 ORDER BY q.seq LIMIT $1", "i"};
static const struct sql_text QUESTION_EACH = {QUESTION_SELECT " ORDER BY q.seq", ""};

bool question_save(struct ledger *ledger, const struct question *row, const char *text, struct fault *fault)
{
    struct question_row full = {.question = *row};
    if (!span_copy(span_of(text), full.text, sizeof full.text))
        return fault_set(fault, FAULT_INPUT, "'%.20s…' is not the key of a text", text);
    return row_save(ledger, &QUESTION_SAVE, &QUESTION_FIELDS, &full, fault);
}

bool question_load_row(struct ledger *ledger, struct question *row, bool *found, struct fault *fault)
{
    struct question_row full = {.question = *row};
    if (!row_load(ledger, &QUESTION_LOAD, ROW_KEYS({.whole = row->seq}), &QUESTION_FIELDS, &full, sizeof full, found,
                  fault))
        return false;
    *row = full.question;
    return true;
}

bool question_load(struct ledger *ledger, int64_t seq, struct question *row, bool *found, struct fault *fault)
{
    struct row_walk walk;
    struct question_row full = {.text = ""};
    if (!row_walk_start(&walk, ledger, &QUESTION_LOAD, ROW_KEYS({.whole = seq}), fault))
        return false;
    const bool there = row_walk_next(&walk, &QUESTION_FIELDS, &full, fault);
    if (there)
        row_read_cut(walk.statement, NOTE_COLUMN, full.question.note, sizeof full.question.note);
    if (!row_walk_end(&walk))
        return false;
    if (there)
        *row = full.question;
    *found = there;
    return true;
}

bool question_each_open(struct ledger *ledger, int64_t limit, question_visitor *visit, void *context,
                        struct fault *fault)
{
    struct row_walk walk;
    struct question_row row = {.text = ""};
    bool more = true;
    if (!row_walk_start(&walk, ledger, &QUESTION_EACH_OPEN, ROW_KEYS({.whole = limit}), fault))
        return false;
    while (more && row_walk_next(&walk, &QUESTION_FIELDS, &row, fault)) {
        row_read_cut(walk.statement, NOTE_COLUMN, row.question.note, sizeof row.question.note);
        more = visit(&row.question, context);
    }
    return row_walk_end(&walk);
}

bool question_each_row(struct ledger *ledger, question_row_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct question_row row = {.text = ""};
    if (!row_walk_start(&walk, ledger, &QUESTION_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &QUESTION_FIELDS, &row, fault) && visit(&row.question, row.text, context))
        ;
    return row_walk_end(&walk);
}
