#include "kiosk/ledger/sql/sql.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/sql/sql_driver.h"
#include "labels/basics/text.h"

static const char SQLITE_PREFIX[] = "sqlite:", POSTGRESQL_PREFIX[] = "postgresql:";

const char *sql_sqlite_path(const char *address)
{
    const struct span all = span_of(address);
    if (span_starts(all, POSTGRESQL_PREFIX) || span_starts(all, "postgres://"))
        return NULL;
    return span_starts(all, SQLITE_PREFIX) ? address + strlen(SQLITE_PREFIX) : address;
}

bool sql_open(const char *address, enum sql_mode mode, struct sql **sql, struct fault *fault)
{
    const struct span all = span_of(address);
    if (span_starts(all, "postgresql://") || span_starts(all, "postgres://"))
        return sql_postgresql_open(address, mode, sql, fault);
    const char *path = sql_sqlite_path(address);
    if (!path)
        return sql_postgresql_open(address + strlen(POSTGRESQL_PREFIX), mode, sql, fault);
    if (!*path)
        return fault_set(fault, FAULT_INPUT, "the ledger's address is empty: give a file or postgresql:…");
    return sql_sqlite_open(path, mode, sql, fault);
}

void sql_close(struct sql *sql)
{
    if (!sql)
        return;
    for (int i = 0; i < SQL_STATEMENT_LISTS; i++)
        while (sql->statements[i]) {
            struct sql_statement *statement = sql->statements[i];
            sql->statements[i] = statement->next;
            sql->driver->finalize(statement);
        }
    sql->driver->close(sql);
}

enum sql_trouble sql_trouble(const struct sql *sql)
{
    return sql->trouble;
}

const char *sql_name(const struct sql *sql)
{
    return sql->name;
}

bool sql_is_writer(const struct sql *sql)
{
    return sql->mode == SQL_WRITER;
}

void sql_set_name(struct sql *sql, const char *name)
{
    struct builder text;
    if (text_is_utf8(span_of(name))) {
        builder_init(&text, sql->name, sizeof sql->name);
        builder_add(&text, name);
        while (text.cut && text.length > 0 && !text_is_utf8((struct span){sql->name, text.length}))
            sql->name[--text.length] = '\0'; /* half a character at the cut */
    } else {
        (void)text_show(span_of(name), sql->name, sizeof sql->name);
    }
}

bool sql_fail(struct sql *sql, enum sql_trouble trouble, const char *detail, struct fault *fault)
{
    sql->trouble = trouble;
    switch (trouble) {
    case SQL_BUSY:
        return fault_set(fault, FAULT_BUSY, "the ledger '%s' is in use by another program (%s): try again", sql->name,
                         detail);
    case SQL_FULL:
        return fault_set(fault, FAULT_STORAGE, "the disk of the ledger '%s' is full: free space", sql->name);
    case SQL_IO:
        return fault_set(fault, FAULT_STORAGE, "the ledger '%s' cannot be read or written (%s): check the disk",
                         sql->name, detail);
    case SQL_MEMORY:
        return fault_set(fault, FAULT_STORAGE,
                         "this machine has no memory left to work on the ledger '%s': end other programs and try again",
                         sql->name);
    case SQL_CORRUPT:
        return fault_set(
            fault, FAULT_DAMAGED,
            "the ledger '%s' is damaged, cannot be read or is no database (%s): check the disk and keep the file; "
            "if 'ambershelf verify' finds it damaged, restore the newest backup ('ambershelf restore')",
            sql->name, detail);
    case SQL_CONSTRAINT:
        return fault_set(fault, FAULT_CONFLICT,
                         "the ledger '%s' holds something that excludes this (%s): look at the present state again",
                         sql->name, detail);
    case SQL_LOST:
        return fault_set(fault, FAULT_STORAGE,
                         "the connection to the database '%s' was lost (%s): check the network and the server",
                         sql->name, detail);
    case SQL_INPUT:
        return fault_set(fault, FAULT_INPUT, "this cannot be stored (%s): scan or type it again", detail);
    case SQL_RETRY:
        return fault_set(fault, FAULT_BUSY, "another kiosk changed the ledger '%s' at the same moment: try again",
                         sql->name);
    case SQL_NO_TROUBLE:
    case SQL_OTHER:
        break;
    }
    return fault_set(fault, FAULT_STORAGE, "the database '%s' refused a statement: %s", sql->name, detail);
}

bool sql_begin(struct sql *sql, struct fault *fault)
{
    const struct sql_driver *driver = sql->driver;
    return driver->exec(sql, sql->mode == SQL_WRITER ? driver->begin_writer : driver->begin_reader, fault);
}

bool sql_begins_locked(const struct sql *sql)
{
    return sql->driver->begins_locked;
}

bool sql_commit(struct sql *sql, struct fault *fault)
{
    return sql->driver->commit(sql, fault);
}

void sql_rollback(struct sql *sql)
{
    const enum sql_trouble trouble = sql->trouble; /* of what led here: the caller still wants to see it */
    if (sql->driver->in_transaction(sql))
        (void)sql->driver->exec(sql, "ROLLBACK", NULL);
    sql->trouble = trouble;
}

bool sql_savepoint(struct sql *sql, struct fault *fault)
{
    return sql->driver->exec(sql, "SAVEPOINT act", fault);
}

bool sql_release(struct sql *sql, struct fault *fault)
{
    return sql->driver->exec(sql, "RELEASE SAVEPOINT act", fault);
}

bool sql_rollback_to(struct sql *sql, struct fault *fault)
{
    if (!sql->driver->in_transaction(sql))
        return sql_fail(sql, sql->trouble ? sql->trouble : SQL_OTHER, "the transaction has ended by itself", fault);
    const enum sql_trouble trouble = sql->trouble;
    if (!sql->driver->exec(sql, "ROLLBACK TO SAVEPOINT act", fault) ||
        !sql->driver->exec(sql, "RELEASE SAVEPOINT act", fault))
        return false;
    sql->trouble = trouble;
    return true;
}

bool sql_in_transaction(const struct sql *sql)
{
    return sql->driver->in_transaction(sql);
}

bool sql_exec(struct sql *sql, const char *text, struct fault *fault)
{
    return sql->driver->exec(sql, text, fault);
}

static bool has_row(struct sql *sql, const struct sql_text *text, const char *name, bool *has, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!sql_start(sql, text, &statement, fault))
        return false;
    if (name)
        sql_bind_text(statement, 1, name);
    const bool done = sql_step(statement, &row, fault);
    sql_done(statement);
    if (done)
        *has = row;
    return done;
}

bool sql_has_table(struct sql *sql, const char *table, bool *has, struct fault *fault)
{
    return has_row(sql, sql->driver->has_table, table, has, fault);
}

bool sql_has_any_table(struct sql *sql, bool *has, struct fault *fault)
{
    return has_row(sql, sql->driver->has_any_table, NULL, has, fault);
}

const char *sql_schema_word(const struct sql *sql, const char *name, size_t length)
{
    const struct span word = {name, length};
    if (span_equals(word, "int"))
        return sql->driver->word_int;
    if (span_equals(word, "blob"))
        return sql->driver->word_blob;
    if (span_equals(word, "rowless"))
        return sql->driver->word_rowless;
    return span_equals(word, "text") ? sql->driver->word_text : NULL;
}

bool sql_start(struct sql *sql, const struct sql_text *text, struct sql_statement **statement, struct fault *fault)
{
    struct sql_statement **list = &sql->statements[(uintptr_t)text / sizeof *text % SQL_STATEMENT_LISTS],
                         *found = *list;
    while (found && (found->text != text || found->lent))
        found = found->next;
    if (!found) {
        if (!sql->driver->prepare(sql, text, &found, fault))
            return false;
        found->sql = sql;
        found->text = text;
        found->parameters = (int)strlen(text->types);
        found->next = *list;
        *list = found;
    }
    found->lent = true;
    found->bound = 0;
    found->bind_trouble = SQL_NO_TROUBLE;
    found->bind_sentence = NULL;
    found->unread = false;
    sql->lent++;
    *statement = found;
    return true;
}

void sql_bind_failed(struct sql_statement *statement, enum sql_trouble trouble, const char *sentence)
{
    if (statement->bind_sentence)
        return;
    statement->bind_trouble = trouble;
    statement->bind_sentence = sentence;
}

/* Does the parameter exist and take this type? A wrong one is our mistake, but must not write what was not meant. */
static bool may_bind(struct sql_statement *statement, int parameter, char type)
{
    const bool known = parameter >= 1 && parameter <= statement->parameters;
    if (!known || (type && statement->text->types[parameter - 1] != type)) {
        sql_bind_failed(statement, SQL_OTHER, "a value was bound that the statement does not take");
        return false;
    }
    statement->bound |= UINT64_C(1) << (parameter - 1);
    return true;
}

void sql_bind_whole(struct sql_statement *statement, int parameter, int64_t value)
{
    if (may_bind(statement, parameter, 'i'))
        statement->sql->driver->bind_whole(statement, parameter, value);
}

void sql_bind_text(struct sql_statement *statement, int parameter, const char *value)
{
    const struct span text = span_of(value);
    if (!may_bind(statement, parameter, 't'))
        return;
    /* SQLite would take it, PostgreSQL would not: both refuse */
    if (!text_is_utf8(text))
        sql_bind_failed(statement, SQL_INPUT, "a text is not valid UTF-8");
    else
        statement->sql->driver->bind_bytes(statement, parameter, 't', text.at ? text.at : "", text.length);
}

void sql_bind_blob(struct sql_statement *statement, int parameter, const uint8_t *bytes, size_t length)
{
    if (may_bind(statement, parameter, 'b'))
        statement->sql->driver->bind_bytes(statement, parameter, 'b', bytes, length);
}

void sql_bind_null(struct sql_statement *statement, int parameter)
{
    if (may_bind(statement, parameter, '\0'))
        statement->sql->driver->bind_null(statement, parameter);
}

bool sql_step(struct sql_statement *statement, bool *row, struct fault *fault)
{
    if (statement->bound != (UINT64_C(1) << statement->parameters) - 1)
        sql_bind_failed(statement, SQL_OTHER, "not every value of the statement was bound");
    if (statement->bind_sentence)
        return sql_fail(statement->sql, statement->bind_trouble, statement->bind_sentence, fault);
    if (!sql_check_read(statement, fault))
        return false;
    return statement->sql->driver->step(statement, row, fault);
}

bool sql_is_null(struct sql_statement *statement, int column)
{
    return statement->sql->driver->is_null(statement, column);
}

bool sql_is_of_type(struct sql_statement *statement, int column, char type)
{
    const struct sql_driver *driver = statement->sql->driver;
    return !driver->is_of_type || driver->is_of_type(statement, column, type);
}

int64_t sql_whole(struct sql_statement *statement, int column)
{
    return sql_is_null(statement, column) ? 0 : statement->sql->driver->whole(statement, column);
}

const char *sql_text(struct sql_statement *statement, int column, size_t *length)
{
    *length = 0;
    if (sql_is_null(statement, column))
        return "";
    const char *text = statement->sql->driver->bytes(statement, column, 't', length);
    if (text)
        return text;
    statement->unread = true;
    *length = 0;
    return "";
}

bool sql_check_read(struct sql_statement *statement, struct fault *fault)
{
    return !statement->unread || sql_fail(statement->sql, SQL_MEMORY, "no memory for a text", fault);
}

const uint8_t *sql_blob(struct sql_statement *statement, int column, size_t *length)
{
    static const uint8_t nothing[1];
    const uint8_t *bytes = statement->sql->driver->bytes(statement, column, 'b', length);
    if (!bytes)
        *length = 0;
    return bytes ? bytes : nothing;
}

void sql_done(struct sql_statement *statement)
{
    if (!statement)
        return;
    statement->sql->driver->reset(statement);
    statement->lent = false;
    statement->sql->lent--;
}

bool sql_finish(struct sql_statement *statement, int64_t *changed, struct fault *fault)
{
    bool row = true, fine = true;
    while (fine && row)
        fine = sql_step(statement, &row, fault);
    if (fine && changed)
        *changed = statement->sql->driver->changes(statement);
    sql_done(statement);
    return fine;
}

int sql_open_statements(const struct sql *sql)
{
    return sql->lent;
}

bool sql_checkpoint(struct sql *sql, enum sql_checkpoint how, struct fault *fault)
{
    return sql->driver->checkpoint(sql, how, fault);
}

int64_t sql_log_bytes(const struct sql *sql)
{
    return sql->driver->log_bytes(sql);
}

int64_t sql_log_file_bytes(const struct sql *sql)
{
    return sql->driver->log_file_bytes ? sql->driver->log_file_bytes(sql) : 0;
}

int64_t sql_find_reader(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE])
{
    name[0] = '\0';
    return sql->driver->find_reader ? sql->driver->find_reader(sql, name) : 0;
}

int64_t sql_find_writer(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE])
{
    name[0] = '\0';
    return sql->driver->find_writer ? sql->driver->find_writer(sql, name) : 0;
}

void sql_found(const struct sql *sql, struct sql_found *found)
{
    *found = (struct sql_found){0};
    if (sql->driver->found)
        sql->driver->found(sql, found);
}

bool sql_alone_since(const struct sql *sql, int64_t *mark)
{
    return sql->driver->alone_since && sql->driver->alone_since(sql, mark);
}

int64_t sql_rows_written(const struct sql *sql)
{
    return sql->driver->rows_written ? sql->driver->rows_written(sql) : -1;
}

void sql_interrupt(struct sql *sql)
{
    if (sql->driver->interrupt)
        sql->driver->interrupt(sql);
}

bool sql_has_file(const struct sql *sql)
{
    return sql->driver->interrupt != NULL;
}
