#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <sqlite3.h>

#include "kiosk/ledger/sql/sql_lock.h"
#include "kiosk/ledger/sql/sql_process.h"
#include "kiosk/ledger/sql/sql_sqlite_inside.h"
#include "labels/basics/text.h"

/* The SQLite driver. Only the writer's connection ever checkpoints, because versions before 3.51.3 can corrupt a
 * write-ahead log when one connection commits while another checkpoints. */

/* What brackets every act: parsed once a connection. */
static const char *const BRACKETS[] = {
    "BEGIN IMMEDIATE",           "BEGIN", "COMMIT", "ROLLBACK", "SAVEPOINT act", "RELEASE SAVEPOINT act",
    "ROLLBACK TO SAVEPOINT act",
};
_Static_assert(sizeof BRACKETS / sizeof *BRACKETS == SQLITE_BRACKETS, "one statement a bracket");

/* The bytes of one parameter. SQLite would copy each into memory of its own, every time; here the room stays. */
enum { BOUND_ROOM_LEAST = 64 };
struct bound_bytes {
    char *at;
    size_t room;
};

struct sqlite_statement {
    struct sql_statement base;
    sqlite3_stmt *handle;
    struct bound_bytes bound[SQL_PARAMETERS];
    int slots[SQL_PARAMETERS]; /* SQLite counts $n in order of appearance: where $1 … $n went */
};

static enum sql_trouble trouble_of(sqlite3 *handle, int code)
{
    switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL:
        return SQL_BUSY;
    case SQLITE_FULL:
        return SQL_FULL;
    case SQLITE_IOERR:
    case SQLITE_CANTOPEN:
        return sqlite3_system_errno(handle) == ENOSPC || sqlite3_system_errno(handle) == EDQUOT ? SQL_FULL : SQL_IO;
    case SQLITE_PERM:
    case SQLITE_READONLY: /* the disk, or the file, became so */
        return SQL_IO;
    case SQLITE_NOMEM:
        return SQL_MEMORY;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return SQL_CORRUPT;
    case SQLITE_CONSTRAINT:
        return SQL_CONSTRAINT;
    case SQLITE_TOOBIG:
        return SQL_INPUT;
    default:
        return SQL_OTHER;
    }
}

bool sqlite_fail(struct sql *sql, int code, struct fault *fault)
{
    struct sqlite_sql *in = inside(sql);
    char name[SQL_PROCESS_NAME_SIZE], holder[64];
    const enum sql_trouble trouble = trouble_of(in->handle, code);
    const int64_t process = trouble == SQL_BUSY && in->path ? sql_process_find(in->path, SQL_PROCESS_WRITES, name) : 0;
    if (process > 0)
        (void)snprintf(holder, sizeof holder, "%s, process %lld", name, (long long)process);
    return sql_fail(sql, trouble,
                    process > 0  ? holder
                    : in->handle ? sqlite3_errmsg(in->handle)
                                 : sqlite3_errstr(code),
                    fault);
}

void sqlite_close(struct sql *sql)
{
    struct sqlite_sql *in = inside(sql);
    for (int i = 0; i < SQLITE_BRACKETS; i++)
        (void)sqlite3_finalize(in->brackets[i]);
    (void)sqlite3_close(in->handle); /* no statement is left; rolls back what is open */
    sql_gather_remove(&in->log);
    sql_lock_release(in->lock);
    free(in->path);
    free(in);
}

static int run_bracket(struct sqlite_sql *in, int bracket)
{
    sqlite3_stmt **statement = &in->brackets[bracket];
    if (!*statement) {
        const int code =
            sqlite3_prepare_v3(in->handle, BRACKETS[bracket], -1, SQLITE_PREPARE_PERSISTENT, statement, NULL);
        if (code != SQLITE_OK)
            return code;
    }
    (void)sqlite3_step(*statement);
    return sqlite3_reset(*statement); /* the step's code, SQLITE_OK when it is done */
}

bool sqlite_exec(struct sql *sql, const char *text, struct fault *fault)
{
    for (int i = 0; i < SQLITE_BRACKETS; i++)
        if (strcmp(text, BRACKETS[i]) == 0) {
            const int done = run_bracket(inside(sql), i);
            return done == SQLITE_OK || sqlite_fail(sql, done, fault);
        }
    const int code = sqlite3_exec(inside(sql)->handle, text, NULL, NULL, NULL);
    return code == SQLITE_OK || sqlite_fail(sql, code, fault);
}

static bool sqlite_commit(struct sql *sql, struct fault *fault)
{
    return sqlite_exec(sql, "COMMIT", fault);
}

static bool sqlite_in_transaction(const struct sql *sql)
{
    return !sqlite3_get_autocommit(look_inside(sql)->handle);
}

static void sqlite_finalize(struct sql_statement *statement)
{
    struct sqlite_statement *in = (struct sqlite_statement *)statement;
    (void)sqlite3_finalize(in->handle);
    for (int i = 0; i < SQL_PARAMETERS; i++)
        free(in->bound[i].at);
    free(in);
}

static bool sqlite_prepare(struct sql *sql, const struct sql_text *text, struct sql_statement **statement,
                           struct fault *fault)
{
    struct sqlite_statement *fresh = calloc(1, sizeof *fresh);
    if (!fresh)
        return sql_fail(sql, SQL_MEMORY, "no memory", fault);
    const int code =
        sqlite3_prepare_v3(inside(sql)->handle, text->text, -1, SQLITE_PREPARE_PERSISTENT, &fresh->handle, NULL);
    if (code != SQLITE_OK) {
        free(fresh);
        return sqlite_fail(sql, code, fault);
    }
    const int count = (int)strlen(text->types);
    for (int i = 0; i < count && i < SQL_PARAMETERS; i++) {
        char name[16];
        (void)snprintf(name, sizeof name, "$%d", i + 1);
        fresh->slots[i] = sqlite3_bind_parameter_index(fresh->handle, name);
    }
    if (count > SQL_PARAMETERS || sqlite3_bind_parameter_count(fresh->handle) != count) {
        sqlite_finalize(&fresh->base);
        return sql_fail(sql, SQL_OTHER, "a statement's text and its parameter letters differ", fault);
    }
    *statement = &fresh->base;
    return true;
}

static void check_bound(struct sql_statement *statement, int code)
{
    if (code != SQLITE_OK)
        sql_bind_failed(statement, trouble_of(inside(statement->sql)->handle, code), sqlite3_errstr(code));
}

static void sqlite_bind_whole(struct sql_statement *statement, int parameter, int64_t value)
{
    const struct sqlite_statement *in = (struct sqlite_statement *)statement;
    check_bound(statement, sqlite3_bind_int64(in->handle, in->slots[parameter - 1], value));
}

static bool hold_bytes(struct bound_bytes *bound, const void *bytes, size_t length)
{
    if (length >= bound->room) { /* one more, so that an empty blob has an address too */
        const size_t room = length < BOUND_ROOM_LEAST ? BOUND_ROOM_LEAST : length + 1;
        char *larger = realloc(bound->at, room);
        if (!larger)
            return false;
        *bound = (struct bound_bytes){larger, room};
    }
    if (length > 0)
        memcpy(bound->at, bytes, length);
    return true;
}

static void sqlite_bind_bytes(struct sql_statement *statement, int parameter, char type, const void *bytes,
                              size_t length)
{
    struct sqlite_statement *in = (struct sqlite_statement *)statement;
    const int slot = in->slots[parameter - 1];
    struct bound_bytes *bound = &in->bound[parameter - 1];
    if (!hold_bytes(bound, bytes, length)) {
        sql_bind_failed(statement, SQL_MEMORY, "no memory");
        return;
    }
    check_bound(statement, type == 't'
                               ? sqlite3_bind_text64(in->handle, slot, bound->at, length, SQLITE_STATIC, SQLITE_UTF8)
                               : sqlite3_bind_blob64(in->handle, slot, bound->at, length, SQLITE_STATIC));
}

static void sqlite_bind_null(struct sql_statement *statement, int parameter)
{
    const struct sqlite_statement *in = (struct sqlite_statement *)statement;
    check_bound(statement, sqlite3_bind_null(in->handle, in->slots[parameter - 1]));
}

static bool sqlite_step(struct sql_statement *statement, bool *row, struct fault *fault)
{
    const int code = sqlite3_step(((struct sqlite_statement *)statement)->handle);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        return sqlite_fail(statement->sql, code, fault);
    *row = code == SQLITE_ROW;
    return true;
}

static bool sqlite_is_null(struct sql_statement *statement, int column)
{
    return sqlite3_column_type(((struct sqlite_statement *)statement)->handle, column) == SQLITE_NULL;
}

static bool sqlite_is_of_type(struct sql_statement *statement, int column, char type)
{
    switch (sqlite3_column_type(((struct sqlite_statement *)statement)->handle, column)) {
    case SQLITE_NULL:
        return true;
    case SQLITE_INTEGER:
        return type == 'i';
    case SQLITE_TEXT:
        return type == 't';
    case SQLITE_BLOB:
        return type == 'b';
    default:
        return false;
    }
}

static int64_t sqlite_whole(struct sql_statement *statement, int column)
{
    return sqlite3_column_int64(((struct sqlite_statement *)statement)->handle, column);
}

static const void *sqlite_bytes(struct sql_statement *statement, int column, char type, size_t *length)
{
    sqlite3_stmt *handle = ((struct sqlite_statement *)statement)->handle;
    const void *bytes = type == 't' ? sqlite3_column_text(handle, column) : sqlite3_column_blob(handle, column);
    *length = bytes ? (size_t)sqlite3_column_bytes(handle, column) : 0;
    return bytes;
}

static int64_t sqlite_changes(struct sql_statement *statement)
{
    return sqlite3_changes64(inside(statement->sql)->handle);
}

static void sqlite_reset(struct sql_statement *statement)
{
    struct sqlite_statement *in = (struct sqlite_statement *)statement;
    (void)sqlite3_reset(in->handle); /* repeats the step's error, which was told */
    (void)sqlite3_clear_bindings(in->handle);
}

static bool sqlite_checkpoint(struct sql *sql, enum sql_checkpoint how, struct fault *fault)
{
    struct sqlite_sql *in = inside(sql);
    int pages = 0, moved = 0;
    if (how == SQL_CHECKPOINT_EMPTY)
        (void)sqlite3_busy_timeout(in->handle, 0);
    const int code = sqlite3_wal_checkpoint_v2(
        in->handle, NULL, how == SQL_CHECKPOINT_PASSIVE ? SQLITE_CHECKPOINT_PASSIVE : SQLITE_CHECKPOINT_TRUNCATE,
        &pages, &moved);
    if (how == SQL_CHECKPOINT_EMPTY)
        (void)sqlite3_busy_timeout(in->handle, SQLITE_BUSY_MS);
    /* a reader in the way is no failure: what it holds back stays in the log until next time */
    if (code != SQLITE_OK && (code & 0xFF) != SQLITE_BUSY)
        return sqlite_fail(sql, code, fault);
    in->log_pages = moved == pages ? 0 : pages;
    return true;
}

static int64_t sqlite_log_bytes(const struct sql *sql)
{
    return look_inside(sql)->log_pages * look_inside(sql)->page_bytes;
}

static int64_t sqlite_log_file_bytes(const struct sql *sql)
{
    char name[PATH_MAX];
    struct stat status;
    const struct sqlite_sql *in = look_inside(sql);
    if (sql->mode != SQL_WRITER || snprintf(name, sizeof name, "%s-wal", in->path) >= (int)sizeof name ||
        stat(name, &status) != 0)
        return 0;
    return status.st_size;
}

static int64_t sqlite_find_reader(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE])
{
    return sql_process_find(look_inside(sql)->path, SQL_PROCESS_READS, name);
}

static int64_t sqlite_find_writer(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE])
{
    return sql_process_find(look_inside(sql)->path, SQL_PROCESS_WRITES, name);
}

static void sqlite_found(const struct sql *sql, struct sql_found *found)
{
    *found = look_inside(sql)->found;
}

static void sqlite_interrupt(struct sql *sql)
{
    sqlite3_interrupt(inside(sql)->handle);
}

static bool sqlite_alone_since(const struct sql *sql, int64_t *mark)
{
    unsigned version = 0;
    if (sqlite3_file_control(look_inside(sql)->handle, "main", SQLITE_FCNTL_DATA_VERSION, &version) != SQLITE_OK)
        return false;
    const bool same = *mark == (int64_t)version + 1;
    *mark = (int64_t)version + 1;
    return same;
}

static int64_t sqlite_rows_written(const struct sql *sql)
{
    return sqlite3_total_changes64(look_inside(sql)->handle);
}

static const struct sql_text HAS_TABLE = {"SELECT name FROM sqlite_master WHERE type = 'table' AND name = $1", "t"};
static const struct sql_text HAS_ANY_TABLE = {"SELECT name FROM sqlite_master LIMIT 1", ""};

const struct sql_driver SQLITE_DRIVER = {
    .word_int = "INTEGER",
    .word_blob = "BLOB",
    .word_text = "TEXT",
    .word_rowless = " WITHOUT ROWID",
    .begin_writer = "BEGIN IMMEDIATE", /* nobody else can be writing from here on */
    .begins_locked = true,
    .begin_reader = "BEGIN",
    .close = sqlite_close,
    .exec = sqlite_exec,
    .commit = sqlite_commit,
    .in_transaction = sqlite_in_transaction,
    .prepare = sqlite_prepare,
    .finalize = sqlite_finalize,
    .bind_whole = sqlite_bind_whole,
    .bind_bytes = sqlite_bind_bytes,
    .bind_null = sqlite_bind_null,
    .step = sqlite_step,
    .is_null = sqlite_is_null,
    .is_of_type = sqlite_is_of_type,
    .whole = sqlite_whole,
    .bytes = sqlite_bytes,
    .changes = sqlite_changes,
    .reset = sqlite_reset,
    .checkpoint = sqlite_checkpoint,
    .log_bytes = sqlite_log_bytes,
    .log_file_bytes = sqlite_log_file_bytes,
    .find_reader = sqlite_find_reader,
    .find_writer = sqlite_find_writer,
    .found = sqlite_found,
    .alone_since = sqlite_alone_since,
    .rows_written = sqlite_rows_written,
    .interrupt = sqlite_interrupt,
    .has_table = &HAS_TABLE,
    .has_any_table = &HAS_ANY_TABLE,
};
