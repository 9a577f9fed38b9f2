#include "kiosk/ledger/row.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/row_memory.h"
#include "labels/basics/text.h"

static void bind_field(struct sql_statement *statement, int parameter, const struct row_field *field, const char *at)
{
    int64_t whole = 0;
    bool flag = false;
    unsigned value = 0;
    char letter[2] = "";
    switch (field->type) {
    case ROW_TEXT:
        sql_bind_text(statement, parameter, at);
        break;
    case ROW_WHOLE:
        memcpy(&whole, at, sizeof whole);
        if (whole == MOVEMENT_NULL)
            sql_bind_null(statement, parameter);
        else
            sql_bind_whole(statement, parameter, whole);
        break;
    case ROW_FLAG:
        memcpy(&flag, at, sizeof flag);
        sql_bind_whole(statement, parameter, flag ? 1 : 0);
        break;
    case ROW_LETTER:
        letter[0] = *at;
        sql_bind_text(statement, parameter, letter);
        break;
    case ROW_WORD:
        memcpy(&value, at, sizeof value);
        sql_bind_text(statement, parameter, field->words->word(value));
        break;
    case ROW_BYTES:
        sql_bind_blob(statement, parameter, (const uint8_t *)at, field->size);
        break;
    }
}

void row_bind(struct sql_statement *statement, const struct row_fields *fields, const void *row)
{
    for (int i = 0; i < fields->count; i++)
        bind_field(statement, i + 1, &fields->fields[i], (const char *)row + fields->fields[i].offset);
}

static bool read_word(struct span text, const struct row_words *words, char *at)
{
    for (unsigned value = 0; value < words->count; value++)
        if (span_equals(text, words->word(value))) {
            memcpy(at, &value, sizeof value);
            return true;
        }
    return false;
}

static bool read_field(struct sql_statement *statement, int column, const struct row_field *field, char *at)
{
    struct span text = {0};
    int64_t whole = 0;
    bool flag = false;
    switch (field->type) {
    case ROW_WHOLE:
        whole = sql_is_null(statement, column) ? MOVEMENT_NULL : sql_whole(statement, column);
        memcpy(at, &whole, sizeof whole);
        return true;
    case ROW_FLAG:
        whole = sql_whole(statement, column);
        flag = whole == 1;
        memcpy(at, &flag, sizeof flag);
        return whole == 0 || whole == 1; /* a 2 would read as true and be found by no "= 1" */
    case ROW_BYTES:
        text.at = (const char *)sql_blob(statement, column, &text.length);
        if (text.length != field->size)
            return false;
        memcpy(at, text.at, text.length);
        return true;
    default:
        text.at = sql_text(statement, column, &text.length);
    }
    if (field->type == ROW_WORD)
        return read_word(text, field->words, at);
    if (field->type == ROW_TEXT)
        return span_copy(text, at, field->size);
    *at = text.length == 1 ? text.at[0] : '\0'; /* ROW_LETTER */
    return text.length <= 1;
}

bool row_read(struct sql_statement *statement, const struct row_fields *fields, void *row, struct fault *fault)
{
    for (int i = 0; i < fields->count; i++)
        if (!read_field(statement, i, &fields->fields[i], (char *)row + fields->fields[i].offset))
            return sql_check_read(statement, fault) &&
                   fault_set(fault, FAULT_DAMAGED,
                             "table '%s' of the ledger holds a value that no kiosk wrote (column %d): run 'ambershelf "
                             "verify' and go back to the newest backup",
                             fields->table, i + 1);
    return sql_check_read(statement, fault);
}

void row_read_cut(struct sql_statement *statement, int column, char *buffer, size_t size)
{
    struct span text = {0};
    text.at = sql_text(statement, column, &text.length);
    if (text.length >= size) {
        text.length = size - 1;
        while (text.length > 0 && ((unsigned char)text.at[text.length] & 0xC0) == 0x80)
            text.length--;
    }
    (void)span_copy(text, buffer, size);
}

static bool start(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys,
                  struct sql_statement **statement, struct fault *fault)
{
    if (!sql_start(ledger_sql(ledger), text, statement, fault))
        return false;
    for (int i = 0; text->types[i]; i++) {
        if (text->types[i] == 't')
            sql_bind_text(*statement, i + 1, keys[i].text);
        else
            sql_bind_whole(*statement, i + 1, keys[i].whole);
    }
    return true;
}

static bool load_first(struct sql_statement *statement, const struct row_fields *fields, void *row, size_t size,
                       bool *there, struct fault *fault)
{
    if (!sql_step(statement, there, fault))
        return false;
    if (!*there)
        return true;
    char *fresh = malloc(size); /* a value that does not fit must not leave half a row */
    if (!fresh)
        return fault_set(fault, FAULT_STORAGE, "no memory to read the ledger: end other programs and try again");
    memcpy(fresh, row, size);
    const bool fine = row_read(statement, fields, fresh, fault);
    if (fine)
        memcpy(row, fresh, size);
    free(fresh);
    return fine;
}

bool row_load(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys,
              const struct row_fields *fields, void *row, size_t size, bool *found, struct fault *fault)
{
    struct row_memory *memory = text == fields->kept ? ledger_row_memory(ledger) : NULL;
    struct sql_statement *statement = NULL;
    bool there = memory && row_memory_get(memory, fields, keys[0].text, row, size);
    if (there) {
        *found = true;
        return true;
    }
    if (!start(ledger, text, keys, &statement, fault))
        return false;
    const bool fine = load_first(statement, fields, row, size, &there, fault);
    sql_done(statement);
    if (!fine)
        return false;
    if (there && memory)
        row_memory_put(memory, fields, keys[0].text, row, size);
    *found = there;
    return true;
}

bool row_save(struct ledger *ledger, const struct sql_text *text, const struct row_fields *fields, const void *row,
              struct fault *fault)
{
    struct sql_statement *statement = NULL;
    int64_t changed = 0;
    if (!sql_start(ledger_sql(ledger), text, &statement, fault))
        return false;
    row_bind(statement, fields, row);
    if (fields->kept && ledger_row_memory(ledger))
        row_memory_drop(ledger_row_memory(ledger), fields, (const char *)row + fields->fields[0].offset);
    if (!sql_finish(statement, &changed, fault))
        return false;
    return changed == 1 ||
           fault_set(fault, FAULT_CONFLICT,
                     "a row of '%s' has changed since it was read: look at the present state again", fields->table);
}

bool row_run(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, int64_t *changed,
             struct fault *fault)
{
    struct sql_statement *statement = NULL;
    return start(ledger, text, keys, &statement, fault) && sql_finish(statement, changed, fault);
}

bool row_walk_start(struct row_walk *walk, struct ledger *ledger, const struct sql_text *text,
                    const struct row_key *keys, struct fault *fault)
{
    walk->failed = false;
    walk->fault = fault;
    return start(ledger, text, keys, &walk->statement, fault);
}

bool row_walk_next(struct row_walk *walk, const struct row_fields *fields, void *row, struct fault *fault)
{
    bool there = false;
    if (!sql_step(walk->statement, &there, fault) || (there && !row_read(walk->statement, fields, row, fault)))
        walk->failed = true;
    return there && !walk->failed;
}

bool row_walk_end(struct row_walk *walk)
{
    if (!walk->failed && !sql_check_read(walk->statement, walk->fault)) /* what the caller read besides */
        walk->failed = true;
    sql_done(walk->statement);
    return !walk->failed;
}
