#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sqlite3.h>

#include "kiosk/ledger/sql/sql_backup.h"
#include "kiosk/ledger/sql/sql_sqlite_file.h"
#include "labels/basics/text.h"

/* A column's declared type in our schema is INTEGER, TEXT or BLOB (docs/sql.md), but SQLite stores what it is given.
 * One statement a table, made from the table's own description, so that a new column cannot be forgotten; names are
 * quoted by SQLite's own %w and %Q. */

enum { KEY_COLUMN, WHAT_COLUMN };

/* Movements are looked at as they are read, one by one; acts and their answers prove nothing. Both are millions. */
static const char TABLES[] = "SELECT name FROM sqlite_master WHERE type = 'table' AND substr(name, 1, 7) <> 'sqlite_' "
                             "AND name NOT IN ('movement', 'act', 'act_answer') ORDER BY name";
static const char COLUMNS[] = "SELECT name, lower(type), pk FROM pragma_table_info(?1) ORDER BY cid";
static const char STRANGERS[] = "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')";

static const char *type_word(const char *declared)
{
    return strcmp(declared, "integer") == 0 ? "integer" : strcmp(declared, "blob") == 0 ? "blob" : "text";
}

struct question {
    sqlite3_str *key, *what, *where;
};

static void add_column(struct question *question, const char *name, const char *type, bool is_key)
{
    const char *comma = sqlite3_str_length(question->where) > 0 ? " OR " : "";
    if (is_key)
        sqlite3_str_appendf(question->key, "%s\"%w\"", sqlite3_str_length(question->key) > 0 ? " || ' ' || " : "",
                            name);
    sqlite3_str_appendf(question->what,
                        " WHEN typeof(\"%w\") NOT IN (%Q, 'null') THEN %Q || ' is stored as ' || typeof(\"%w\") || "
                        "', where ' || %Q || ' belongs'",
                        name, type, name, name, type);
    sqlite3_str_appendf(question->where, "%stypeof(\"%w\") NOT IN (%Q, 'null')", comma, name, type);
}

/* The statement for one table; NULL: no memory, or the table cannot be described. */
static char *write_question(sqlite3 *handle, const char *table)
{
    struct question question = {sqlite3_str_new(handle), sqlite3_str_new(handle), sqlite3_str_new(handle)};
    sqlite3_stmt *columns = NULL;
    int code = sqlite3_prepare_v2(handle, COLUMNS, -1, &columns, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_bind_text(columns, 1, table, -1, SQLITE_STATIC);
    while (code == SQLITE_OK && sqlite3_step(columns) == SQLITE_ROW)
        add_column(&question, (const char *)sqlite3_column_text(columns, 0),
                   type_word((const char *)sqlite3_column_text(columns, 1)), sqlite3_column_int(columns, 2) > 0);
    (void)sqlite3_finalize(columns);
    char *key = sqlite3_str_finish(question.key), *what = sqlite3_str_finish(question.what),
         *where = sqlite3_str_finish(question.where);
    char *text = key && what && where
                     ? sqlite3_mprintf("SELECT %s, CASE%s END FROM \"%w\" WHERE %s LIMIT 1", key, what, table, where)
                     : NULL;
    sqlite3_free(key);
    sqlite3_free(what);
    sqlite3_free(where);
    return text;
}

static void note(sqlite3_stmt *row, const char *table, struct sql_odd_value *odd)
{
    char key[60], word[120];
    (void)text_show(span_of((const char *)sqlite3_column_text(row, KEY_COLUMN)), key, sizeof key);
    (void)text_show(span_of((const char *)sqlite3_column_text(row, WHAT_COLUMN)), word, sizeof word);
    (void)snprintf(odd->what, sizeof odd->what, "%.30s %s: %s", table, key, word);
}

static bool look_into(sqlite3 *handle, const char *path, const char *table, struct sql_odd_value *odd,
                      struct fault *fault)
{
    sqlite3_stmt *statement = NULL;
    char *text = write_question(handle, table);
    int code = text ? sqlite3_prepare_v2(handle, text, -1, &statement, NULL) : SQLITE_NOMEM;
    sqlite3_free(text);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    if (code == SQLITE_ROW)
        note(statement, table, odd);
    const bool fine = code == SQLITE_ROW || code == SQLITE_DONE || sql_file_tell(path, handle, code, fault);
    (void)sqlite3_finalize(statement);
    return fine;
}

static bool look_for_strangers(sqlite3 *handle, const char *path, struct sql_odd_value *odd, struct fault *fault)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, STRANGERS, -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    if (code == SQLITE_ROW)
        (void)snprintf(odd->what, sizeof odd->what, "the file holds the %.10s '%.100s', which no kiosk made",
                       (const char *)sqlite3_column_text(statement, 0),
                       (const char *)sqlite3_column_text(statement, 1));
    const bool fine = code == SQLITE_ROW || code == SQLITE_DONE || sql_file_tell(path, handle, code, fault);
    (void)sqlite3_finalize(statement);
    return fine;
}

static bool look_into_all(sqlite3 *handle, const char *path, struct sql_odd_value *odd, struct fault *fault)
{
    sqlite3_stmt *tables = NULL;
    int code = sqlite3_prepare_v2(handle, TABLES, -1, &tables, NULL);
    bool fine = true;
    while (fine && code == SQLITE_OK && !odd->what[0] && (code = sqlite3_step(tables)) == SQLITE_ROW) {
        fine = look_into(handle, path, (const char *)sqlite3_column_text(tables, 0), odd, fault);
        code = SQLITE_OK;
    }
    if (fine && code != SQLITE_OK && code != SQLITE_DONE)
        fine = sql_file_tell(path, handle, code, fault);
    (void)sqlite3_finalize(tables);
    return fine;
}

bool sql_find_odd_value(const char *path, struct sql_odd_value *odd, struct fault *fault)
{
    struct sql_odd_value found = {.what = ""};
    sqlite3 *handle = NULL;
    const bool fine = sql_file_open(path, false, &handle, fault) && look_for_strangers(handle, path, &found, fault) &&
                      (found.what[0] || look_into_all(handle, path, &found, fault));
    (void)sqlite3_close(handle);
    if (fine)
        *odd = found;
    return fine;
}
