#include "kiosk/ledger/sql/sql_log.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sqlite3.h>

/* The judge's bytes from two files. */

static bool read_log(void *context, int64_t at, uint8_t *bytes, size_t length)
{
    return pread(*(int *)context, bytes, length, at) == (ssize_t)length;
}

static bool read_database(void *context, int64_t at, uint8_t *bytes, size_t length)
{
    sqlite3_file *file = context;
    return file->pMethods->xRead(file, bytes, (int)length, at) == SQLITE_OK;
}

/* A descriptor of our own on the database would, when closed, drop the locks that SQLite holds on it in this process
 * (POSIX); SQLite's layer knows of all of its own. */
static bool open_database(const char *path, sqlite3_file **file, struct sql_log_bytes *bytes)
{
    sqlite3_vfs *system = sqlite3_vfs_find(NULL);
    sqlite3_file *made = system ? calloc(1, (size_t)system->szOsFile) : NULL;
    int flags = 0;
    sqlite3_int64 size = 0;
    if (!made)
        return false;
    if (system->xOpen(system, path, made, SQLITE_OPEN_READONLY | SQLITE_OPEN_MAIN_DB, &flags) != SQLITE_OK) {
        free(made);
        return false;
    }
    *file = made;
    *bytes = (struct sql_log_bytes){.read = read_database, .context = made};
    if (made->pMethods->xFileSize(made, &size) == SQLITE_OK)
        bytes->size = size;
    return true;
}

static bool say(const char *path, const struct sql_log_report *report, struct fault *fault)
{
    char where[40] = "in its header";
    if (report->bad_frame > 0)
        (void)snprintf(where, sizeof where, "at frame %lld", (long long)report->bad_frame);
    if (report->state == SQL_LOG_UNREAD)
        return fault_set(
            fault, FAULT_STORAGE,
            "the write-ahead log '%.128s-wal' cannot be read: check the disk, or, when there is no memory, end "
            "other programs and try again",
            path);
    return fault_set(
        fault, FAULT_DAMAGED,
        "the write-ahead log '%.128s-wal' is damaged %s and what was booked behind it cannot be read: stop "
        "the kiosk, keep the file and its log, and restore the newest backup ('ambershelf restore')",
        path, where);
}

bool sql_log_look(const char *path, int64_t *log_bytes, bool *torn, struct fault *fault)
{
    char name[PATH_MAX];
    struct stat status;
    struct sql_log_report report = {.state = SQL_LOG_WHOLE};
    struct sql_log_bytes file_bytes;
    sqlite3_file *database = NULL;
    if (snprintf(name, sizeof name, "%s-wal", path) >= (int)sizeof name)
        return fault_set(fault, FAULT_INPUT, "the ledger's path is too long: give a shorter one");
    int log = open(name, O_RDONLY | O_CLOEXEC); /* SQLite takes no locks on this one */
    if (log < 0 && errno != ENOENT)
        report.state = SQL_LOG_UNREAD;
    if (log >= 0 && (fstat(log, &status) != 0 || !open_database(path, &database, &file_bytes))) {
        report.state = SQL_LOG_UNREAD;
    } else if (log >= 0) {
        const struct sql_log_bytes bytes = {.read = read_log, .context = &log, .size = status.st_size};
        sql_log_judge(&bytes, &file_bytes, &report);
        *log_bytes = status.st_size;
    }
    if (log >= 0)
        (void)close(log);
    if (database) {
        (void)database->pMethods->xClose(database);
        free(database);
    }
    *torn = report.state == SQL_LOG_TORN;
    return report.state == SQL_LOG_WHOLE || report.state == SQL_LOG_TORN || say(path, &report, fault);
}
