#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <sqlite3.h>

#include "kiosk/ledger/sql/sql_backup.h"
#include "kiosk/ledger/sql/sql_sqlite_file.h"
#include "labels/basics/text.h"

enum { BUSY_MS = 5000, WORD_SIZE = 200 };

bool sql_file_tell(const char *path, sqlite3 *handle, int code, struct fault *fault)
{
    const int reason = handle ? sqlite3_system_errno(handle) : errno;
    const char *word = handle ? sqlite3_errmsg(handle) : sqlite3_errstr(code);
    switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL:
        return fault_set(fault, FAULT_BUSY, "'%s' is in use (%s): try again in a moment", path, word);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return fault_set(fault, FAULT_INPUT, "'%s' is damaged or is no ledger (%s): take another backup", path, word);
    case SQLITE_FULL:
        break;
    case SQLITE_IOERR:
    case SQLITE_CANTOPEN:
        if (reason == ENOSPC || reason == EDQUOT || reason == EFBIG)
            break;
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be read or written (%s%s%s): look at the disk", path, word,
                         reason ? ", " : "", reason ? strerror(reason) : "");
    case SQLITE_NOMEM:
        return fault_set(fault, FAULT_STORAGE, "no memory to look at '%s': end other programs and try again", path);
    default:
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be read or written (%s): look at the disk", path, word);
    }
    return fault_set(fault, FAULT_STORAGE, "the disk of '%s' is full: free space, or name another disk", path);
}

/* Never by a name that SQLite takes for something else, such as ":memory:" or "file:…". */
bool sql_file_open(const char *path, bool writes, sqlite3 **handle, struct fault *fault)
{
    char resolved[PATH_MAX];
    *handle = NULL;
    if (!realpath(path, resolved))
        return fault_set(fault, errno == ENOENT ? FAULT_MISSING : FAULT_STORAGE,
                         "'%s' cannot be opened (%s): name a file that is there", path, strerror(errno));
    const int flags = (writes ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY) | SQLITE_OPEN_NOMUTEX;
    int code = sqlite3_open_v2(resolved, handle, flags | SQLITE_OPEN_EXRESCODE, NULL);
    if (code != SQLITE_OK)
        return sql_file_tell(path, *handle, code, fault);
    (void)sqlite3_busy_timeout(*handle, BUSY_MS);
    (void)sqlite3_db_config(*handle, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    (void)sqlite3_db_config(*handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    if (!writes)
        (void)sqlite3_db_config(*handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    code = sqlite3_exec(*handle, "PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0; PRAGMA wal_autocheckpoint = 0",
                        NULL, NULL, NULL);
    return code == SQLITE_OK || sql_file_tell(path, *handle, code, fault);
}

/* The first column of the first row, as a text; "" when there is none. */
static bool ask(sqlite3 *handle, const char *path, const char *text, char word[WORD_SIZE], struct fault *fault)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, text, -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    const char *said = code == SQLITE_ROW ? (const char *)sqlite3_column_text(statement, 0) : NULL;
    (void)text_show(span_of(said), word, WORD_SIZE);
    const bool fine = code == SQLITE_ROW || code == SQLITE_DONE || sql_file_tell(path, handle, code, fault);
    (void)sqlite3_finalize(statement);
    return fine;
}

bool sql_make_plain(const char *path, struct fault *fault)
{
    sqlite3 *handle = NULL;
    char mode[WORD_SIZE];
    bool fine = sql_file_open(path, true, &handle, fault) &&
                ask(handle, path, "PRAGMA locking_mode = EXCLUSIVE", mode, fault) &&
                ask(handle, path, "PRAGMA journal_mode = DELETE", mode, fault);
    if (fine && strcmp(mode, "delete") != 0)
        fine = fault_set(fault, FAULT_STORAGE, "'%s' cannot be made one plain file (it stays '%s'): try again", path,
                         mode);
    (void)sqlite3_close(handle);
    return fine;
}

/* One step takes every page of one state; whoever commits meanwhile adds to the log and is not held up. */
static bool copy_pages(sqlite3 *source, sqlite3 *target, const char *from, const char *to, struct fault *fault)
{
    sqlite3_backup *backup = sqlite3_backup_init(target, "main", source, "main");
    if (!backup)
        return sql_file_tell(to, target, sqlite3_errcode(target), fault);
    const int step = sqlite3_backup_step(backup, -1);
    const int finish = sqlite3_backup_finish(backup);
    if (step == SQLITE_DONE && finish == SQLITE_OK)
        return true;
    const int code = step == SQLITE_DONE ? finish : step;
    /* the target's handle carries the error; damage is the source's, for the target was empty */
    const bool source_is_bad = (code & 0xFF) == SQLITE_CORRUPT || (code & 0xFF) == SQLITE_NOTADB;
    return sql_file_tell(source_is_bad ? from : to, source_is_bad ? source : target, code, fault);
}

bool sql_copy_file(const char *from, const char *to, struct fault *fault)
{
    sqlite3 *source = NULL, *target = NULL;
    char word[WORD_SIZE];
    /* no journal file and no syncs while the copy is made: it counts only once it has been synced and verified */
    const bool fine =
        sql_file_open(from, false, &source, fault) &&
        ask(source, from, "SELECT COUNT(*) FROM sqlite_master", word, fault) &&
        sql_file_open(to, true, &target, fault) && ask(target, to, "PRAGMA locking_mode = EXCLUSIVE", word, fault) &&
        ask(target, to, "PRAGMA journal_mode = MEMORY", word, fault) &&
        ask(target, to, "PRAGMA synchronous = OFF", word, fault) && copy_pages(source, target, from, to, fault);
    (void)sqlite3_close(target);
    (void)sqlite3_close(source);
    return fine && sql_make_plain(to, fault); /* the pages say "log" as the source's do */
}

/* A file of no bytes is a sound database for SQLite, and a writer would make a new ledger of it. */
static const char TABLES[] = "SELECT COUNT(*) FROM sqlite_master WHERE type = 'table' AND name IN ('schema_version',"
                             " 'ledger_head', 'movement')";

bool sql_check_file(const char *path, struct fault *fault)
{
    sqlite3 *handle = NULL;
    char damage[WORD_SIZE], stranger[WORD_SIZE], tables[WORD_SIZE];
    bool fine = sql_file_open(path, false, &handle, fault) &&
                ask(handle, path, "PRAGMA integrity_check(1)", damage, fault) &&
                ask(handle, path, TABLES, tables, fault) &&
                ask(handle, path, "SELECT name FROM sqlite_master WHERE type IN ('trigger', 'view')", stranger, fault);
    if (fine && strcmp(damage, "ok") != 0)
        fine = fault_set(fault, FAULT_INPUT, "'%s' is damaged (%s): take another backup", path, damage);
    else if (fine && strcmp(tables, "3") != 0)
        fine = fault_set(fault, FAULT_INPUT, "'%s' holds no ledger: take a backup", path);
    else if (fine && stranger[0])
        fine = fault_set(fault, FAULT_INPUT,
                         "'%s' holds a trigger or view, '%s', which no kiosk made: somebody changed it, take another "
                         "backup",
                         path, stranger);
    (void)sqlite3_close(handle);
    return fine;
}

bool sql_fold_log(const char *path, bool *folded, struct fault *fault)
{
    sqlite3 *handle = NULL;
    struct fault trouble = {0};
    char word[WORD_SIZE];
    bool fine = sql_file_open(path, true, &handle, &trouble) &&
                ask(handle, path, "SELECT COUNT(*) FROM sqlite_master", word, &trouble) &&
                ask(handle, path, "PRAGMA wal_checkpoint(TRUNCATE)", word, &trouble);
    if (fine && strcmp(word, "0") != 0) {
        fine = false;
        (void)fault_set(&trouble, FAULT_BUSY, "somebody still reads '%s': end that program, then try again", path);
    }
    (void)sqlite3_close(handle); /* the last one: removes the emptied log */
    if (!fine && trouble.code != FAULT_INPUT && trouble.code != FAULT_MISSING)
        return fault_set(fault, trouble.code, "%s", trouble.text);
    *folded = fine;
    return true;
}
