#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/ledger/sql/sql_lock.h"
#include "kiosk/ledger/sql/sql_log.h"
#include "kiosk/ledger/sql/sql_sqlite_inside.h"

/* Opening a SQLite ledger: durable by settings that are read back. */

#define LOG_FILE_LIMIT "16777216" /* bytes that the log's file keeps once it starts anew */

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
        (void)sqlite_fail(sql, code, fault);
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
    return code == SQLITE_ROW || sqlite_fail(&in->base, code, fault);
}

static bool apply_settings(struct sql *sql, struct fault *fault)
{
    struct sqlite_sql *in = inside(sql);
    const bool writer = sql->mode == SQL_WRITER;
    (void)sqlite3_busy_timeout(in->handle, SQLITE_BUSY_MS);
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
        return sqlite_fail(&in->base, code, fault);
    /* SQLite is content with a file that it may only read, and says so at the first act */
    return !writer || sqlite3_db_readonly(in->handle, "main") == 0 ||
           fault_set(fault, FAULT_STORAGE,
                     "the ledger '%s' can be read but not written: let the kiosk's user write the file, and check the "
                     "disk",
                     in->base.name);
}

/* A log that a power cut left is emptied before anything is written to it. SQLite would go on behind its last whole
 * transaction, in the same round: what the cut left there could then stand behind new frames, and after a second cut
 * nobody could tell it from transactions that were lost. What cannot be moved now stays, and is looked at next time. */
static void empty_left_log(struct sqlite_sql *in)
{
    if (in->base.mode == SQL_WRITER && in->found.log_bytes > 0)
        (void)in->base.driver->checkpoint(&in->base, SQL_CHECKPOINT_CLOSE, NULL);
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
    empty_left_log(in);
    *sql = &in->base;
    return true;
}
