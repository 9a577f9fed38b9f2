#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sqlite3.h>

#include "kiosk/ledger/sql/sql_driver.h"
#include "kiosk/ledger/sql/sql_gather.h"
#include "kiosk/ledger/sql/sql_lock.h"
#include "kiosk/ledger/sql/sql_log.h"
#include "kiosk/ledger/sql/sql_process.h"
#include "labels/basics/text.h"

/* The SQLite driver. Durable by settings that are read back; only the writer's connection ever checkpoints, because
 * versions before 3.51.3 can corrupt a write-ahead log when one connection commits while another checkpoints. */

enum { BUSY_MS = 1000 };
#define LOG_FILE_LIMIT "16777216" /* bytes that the log's file keeps once it starts anew */

/* What brackets every act: parsed once a connection. */
static const char *const BRACKETS[] = {
    "BEGIN IMMEDIATE",           "BEGIN", "COMMIT", "ROLLBACK", "SAVEPOINT act", "RELEASE SAVEPOINT act",
    "ROLLBACK TO SAVEPOINT act",
};
enum { BRACKET_COUNT = sizeof BRACKETS / sizeof *BRACKETS };

struct sqlite_sql {
    struct sql base;
    sqlite3 *handle;
    sqlite3_stmt *brackets[BRACKET_COUNT]; /* NULL until used */
    struct sql_gather log;                 /* a writer's */
    int lock;                              /* -1: a reader */
    int log_pages; /* in the write-ahead log after the last commit, 0 once all are checkpointed */
    int64_t page_bytes;
    struct sql_found found;
    char *path; /* resolved */
};

struct sqlite_statement {
    struct sql_statement base;
    sqlite3_stmt *handle;
    int slots[SQL_PARAMETERS]; /* SQLite counts $n in order of appearance: where $1 … $n went */
};

static struct sqlite_sql *inside(struct sql *sql)
{
    return (struct sqlite_sql *)sql; /* base is the first member */
}

static const struct sqlite_sql *look_inside(const struct sql *sql)
{
    return (const struct sqlite_sql *)sql;
}

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

static bool fail(struct sql *sql, int code, struct fault *fault)
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

static void sqlite_close(struct sql *sql)
{
    struct sqlite_sql *in = inside(sql);
    for (int i = 0; i < BRACKET_COUNT; i++)
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

static bool sqlite_exec(struct sql *sql, const char *text, struct fault *fault)
{
    for (int i = 0; i < BRACKET_COUNT; i++)
        if (strcmp(text, BRACKETS[i]) == 0) {
            const int done = run_bracket(inside(sql), i);
            return done == SQLITE_OK || fail(sql, done, fault);
        }
    const int code = sqlite3_exec(inside(sql)->handle, text, NULL, NULL, NULL);
    return code == SQLITE_OK || fail(sql, code, fault);
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
        return fail(sql, code, fault);
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

static void sqlite_bind_bytes(struct sql_statement *statement, int parameter, char type, const void *bytes,
                              size_t length)
{
    const struct sqlite_statement *in = (struct sqlite_statement *)statement;
    const int slot = in->slots[parameter - 1];
    check_bound(statement, type == 't'
                               ? sqlite3_bind_text64(in->handle, slot, bytes, length, SQLITE_TRANSIENT, SQLITE_UTF8)
                               : sqlite3_bind_blob64(in->handle, slot, bytes, length, SQLITE_TRANSIENT));
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
        return fail(statement->sql, code, fault);
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
        (void)sqlite3_busy_timeout(in->handle, BUSY_MS);
    /* a reader in the way is no failure: what it holds back stays in the log until next time */
    if (code != SQLITE_OK && (code & 0xFF) != SQLITE_BUSY)
        return fail(sql, code, fault);
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

static const struct sql_text HAS_TABLE = {"SELECT name FROM sqlite_master WHERE type = 'table' AND name = $1", "t"};
static const struct sql_text HAS_ANY_TABLE = {"SELECT name FROM sqlite_master LIMIT 1", ""};

static const struct sql_driver SQLITE_DRIVER = {
    .word_int = "INTEGER",
    .word_blob = "BLOB",
    .word_text = "TEXT",
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
    .interrupt = sqlite_interrupt,
    .has_table = &HAS_TABLE,
    .has_any_table = &HAS_ANY_TABLE,
};

static int note_log(void *context, sqlite3 *handle, const char *database, int pages)
{
    (void)handle;
    (void)database;
    ((struct sqlite_sql *)context)->log_pages = pages;
    return SQLITE_OK;
}

/* Sets one PRAGMA and reads it back: SQLite ignores what it does not know or cannot do. */
static bool set_and_read_back(struct sql *sql, const char *set, const char *read, const char *expected,
                              struct fault *fault)
{
    sqlite3_stmt *statement = NULL;
    if (!sqlite_exec(sql, set, fault))
        return false;
    int code = sqlite3_prepare_v2(inside(sql)->handle, read, -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    const bool said = code == SQLITE_ROW && sqlite3_column_type(statement, 0) != SQLITE_NULL;
    const char *value = said ? (const char *)sqlite3_column_text(statement, 0) : NULL;
    if (said && !value)
        code = SQLITE_NOMEM;
    const bool same = value && strcmp(value, expected) == 0;
    if (!same && code == SQLITE_ROW)
        (void)fault_set(fault, FAULT_STORAGE,
                        "the disk of the ledger '%s' does not allow '%s' (it says %s, not %s): keep the ledger on a "
                        "local disk",
                        sql->name, read, value ? value : "nothing", expected);
    else if (!same)
        (void)fail(sql, code, fault);
    (void)sqlite3_finalize(statement);
    return same;
}

static bool read_page_size(struct sqlite_sql *in, struct fault *fault)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(in->handle, "PRAGMA page_size", -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    if (code == SQLITE_ROW)
        in->page_bytes = sqlite3_column_int64(statement, 0);
    (void)sqlite3_finalize(statement);
    return code == SQLITE_ROW || fail(&in->base, code, fault);
}

static bool apply_settings(struct sql *sql, struct fault *fault)
{
    struct sqlite_sql *in = inside(sql);
    const bool writer = sql->mode == SQL_WRITER;
    (void)sqlite3_busy_timeout(in->handle, BUSY_MS);
    (void)sqlite3_db_config(in->handle, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    (void)sqlite3_db_config(in->handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, writer ? 0 : 1, NULL);
    if (!set_and_read_back(sql, "PRAGMA trusted_schema = OFF", "PRAGMA trusted_schema", "0", fault) ||
        !set_and_read_back(sql, "PRAGMA cell_size_check = ON", "PRAGMA cell_size_check", "1", fault) ||
        !set_and_read_back(sql, "PRAGMA synchronous = FULL", "PRAGMA synchronous", "2", fault) ||
        !set_and_read_back(sql, "PRAGMA wal_autocheckpoint = 0", "PRAGMA wal_autocheckpoint", "0", fault) ||
        /* an act's savepoint would write each page it touches to a file of its own in /var/tmp, names and all */
        !set_and_read_back(sql, "PRAGMA temp_store = MEMORY", "PRAGMA temp_store", "2", fault) ||
        !sqlite_exec(sql, "PRAGMA mmap_size = 0", fault))
        return false;
    if (!writer)
        return set_and_read_back(sql, "PRAGMA query_only = ON", "PRAGMA query_only", "1", fault) &&
               sqlite_exec(sql, "SELECT COUNT(*) FROM sqlite_master", fault); /* a file that is no database says so */
    if (!set_and_read_back(sql, "PRAGMA journal_mode = WAL", "PRAGMA journal_mode", "wal", fault) ||
        !set_and_read_back(sql, "PRAGMA secure_delete = ON", "PRAGMA secure_delete", "1", fault) || /* erased names */
        !sqlite_exec(sql, "PRAGMA cache_size = -16384", fault) || /* KiB: acts touch pages far apart */
        !set_and_read_back(sql, "PRAGMA journal_size_limit = " LOG_FILE_LIMIT, "PRAGMA journal_size_limit",
                           LOG_FILE_LIMIT, fault) ||
        !read_page_size(in, fault))
        return false;
    (void)sqlite3_wal_hook(in->handle, note_log, in); /* takes the place of SQLite's own, which checkpoints */
    return true;
}

/* Makes an empty file when there is none, so that it is not readable by everybody. Never opens one that is there:
 * closing it again would drop the locks that SQLite holds on it in this process. */
static bool make_file(const char *path, struct fault *fault)
{
    const int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0640);
    if (file >= 0 ? close(file) == 0 : errno == EEXIST)
        return true;
    return fault_set(fault, FAULT_STORAGE, "the ledger '%s' cannot be made (%s): make the folder, or give another path",
                     path, strerror(errno));
}

/* What the last writer left; while the lock keeps others away and before SQLite looks at the log. */
static bool look_at_file(struct sqlite_sql *in, const char *path, struct fault *fault)
{
    struct stat status;
    if (!sql_lock_take(path, &in->lock, &in->found.left_by, fault) ||
        !sql_log_look(path, &in->found.log_bytes, &in->found.log_torn, fault))
        return false;
    if (stat(path, &status) == 0)
        in->found.file_bytes = status.st_size;
    return true;
}

static bool open_file(struct sqlite_sql *in, const char *path, struct fault *fault)
{
    const bool writer = in->base.mode == SQL_WRITER;
    char resolved[PATH_MAX]; /* two names of one file must share one lock; and it never looks like ":memory:" */
    if (writer && !make_file(path, fault))
        return false;
    if (!realpath(path, resolved))
        return fault_set(fault, errno == ENOENT ? FAULT_MISSING : FAULT_STORAGE,
                         "the ledger '%s' cannot be opened (%s): give the path of a ledger that exists", path,
                         strerror(errno));
    in->path = strdup(resolved);
    if (!in->path)
        return fault_set(fault, FAULT_STORAGE, "no memory to open the ledger '%s': end other programs", path);
    if (writer && (!look_at_file(in, resolved, fault) || !sql_gather_add(&in->log, fault)))
        return false;
    const int flags = (writer ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY) | SQLITE_OPEN_NOMUTEX;
    const int code =
        sqlite3_open_v2(resolved, &in->handle, flags | SQLITE_OPEN_EXRESCODE, writer ? in->log.name : NULL);
    if (code != SQLITE_OK)
        return fail(&in->base, code, fault);
    /* SQLite is content with a file that it may only read, and says so at the first act */
    return !writer || sqlite3_db_readonly(in->handle, "main") == 0 ||
           fault_set(fault, FAULT_STORAGE,
                     "the ledger '%s' can be read but not written: let the kiosk's user write the file, and check the "
                     "disk",
                     in->base.name);
}

bool sql_sqlite_open(const char *path, enum sql_mode mode, struct sql **sql, struct fault *fault)
{
    struct sqlite_sql *in = calloc(1, sizeof *in);
    if (!in)
        return fault_set(fault, FAULT_STORAGE, "no memory to open the ledger '%s': end other programs", path);
    in->base.driver = &SQLITE_DRIVER;
    in->base.mode = mode;
    in->lock = -1;
    sql_set_name(&in->base, path);
    if (!open_file(in, path, fault) || !apply_settings(&in->base, fault)) {
        sqlite_close(&in->base);
        return false;
    }
    *sql = &in->base;
    return true;
}
