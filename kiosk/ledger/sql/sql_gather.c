#include "kiosk/ledger/sql/sql_gather.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/basics/text.h"

/* SQLite hands out the memory of a file: ours first, then the system's own. */
struct log_file {
    sqlite3_file base;
    sqlite3_file *real;
    uint8_t *bytes; /* gathered: belong at `at` */
    int used;
    sqlite3_int64 at;
};
_Static_assert(sizeof(struct log_file) % 8 == 0, "the system's struct behind ours is aligned");

static struct log_file *log_of(sqlite3_file *file)
{
    return (struct log_file *)file;
}

/* ---- the log ---- */

/* What could not be written is tried again by the next call: SQLite gives up the transaction meanwhile. */
static int write_out(struct log_file *log)
{
    if (log->used == 0)
        return SQLITE_OK;
    const int code = log->real->pMethods->xWrite(log->real, log->bytes, log->used, log->at);
    if (code == SQLITE_OK)
        log->used = 0;
    return code;
}

static int log_close(sqlite3_file *file)
{
    struct log_file *log = log_of(file);
    const int written = write_out(log), closed = log->real->pMethods->xClose(log->real);
    free(log->bytes);
    log->bytes = NULL;
    return written == SQLITE_OK ? closed : written;
}

static int log_write(sqlite3_file *file, const void *bytes, int count, sqlite3_int64 at)
{
    struct log_file *log = log_of(file);
    const bool follows = log->used > 0 && at == log->at + log->used && count <= SQL_GATHER_BYTES - log->used;
    if (!follows) {
        const int code = write_out(log);
        if (code != SQLITE_OK)
            return code;
        if (count > SQL_GATHER_BYTES)
            return log->real->pMethods->xWrite(log->real, bytes, count, at);
        log->at = at;
    }
    memcpy(log->bytes + log->used, bytes, (size_t)count);
    log->used += count;
    return SQLITE_OK;
}

static int log_read(sqlite3_file *file, void *bytes, int count, sqlite3_int64 at)
{
    struct log_file *log = log_of(file);
    const int code = write_out(log);
    return code == SQLITE_OK ? log->real->pMethods->xRead(log->real, bytes, count, at) : code;
}

static int log_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    struct log_file *log = log_of(file);
    const int code = write_out(log);
    return code == SQLITE_OK ? log->real->pMethods->xTruncate(log->real, size) : code;
}

static int log_sync(sqlite3_file *file, int flags)
{
    struct log_file *log = log_of(file);
    const int code = write_out(log);
    return code == SQLITE_OK ? log->real->pMethods->xSync(log->real, flags) : code;
}

static int log_size(sqlite3_file *file, sqlite3_int64 *size)
{
    struct log_file *log = log_of(file);
    const int code = write_out(log);
    return code == SQLITE_OK ? log->real->pMethods->xFileSize(log->real, size) : code;
}

static int log_lock(sqlite3_file *file, int level)
{
    return log_of(file)->real->pMethods->xLock(log_of(file)->real, level);
}

static int log_unlock(sqlite3_file *file, int level)
{
    return log_of(file)->real->pMethods->xUnlock(log_of(file)->real, level);
}

static int log_is_reserved(sqlite3_file *file, int *reserved)
{
    return log_of(file)->real->pMethods->xCheckReservedLock(log_of(file)->real, reserved);
}

static int log_control(sqlite3_file *file, int operation, void *argument)
{
    return log_of(file)->real->pMethods->xFileControl(log_of(file)->real, operation, argument);
}

static int log_sector(sqlite3_file *file)
{
    return log_of(file)->real->pMethods->xSectorSize(log_of(file)->real);
}

static int log_abilities(sqlite3_file *file)
{
    return log_of(file)->real->pMethods->xDeviceCharacteristics(log_of(file)->real);
}

/* Version 1: shared memory and maps are the database file's, which is not ours. */
static const sqlite3_io_methods LOG_METHODS = {
    .iVersion = 1,
    .xClose = log_close,
    .xRead = log_read,
    .xWrite = log_write,
    .xTruncate = log_truncate,
    .xSync = log_sync,
    .xFileSize = log_size,
    .xLock = log_lock,
    .xUnlock = log_unlock,
    .xCheckReservedLock = log_is_reserved,
    .xFileControl = log_control,
    .xSectorSize = log_sector,
    .xDeviceCharacteristics = log_abilities,
};

/* ---- opening files ---- */

static sqlite3_vfs *system_of(sqlite3_vfs *vfs)
{
    return vfs->pAppData;
}

static int open_log(sqlite3_vfs *vfs, const char *name, struct log_file *log, int flags, int *flags_out)
{
    *log = (struct log_file){.real = (sqlite3_file *)(log + 1), .bytes = malloc(SQL_GATHER_BYTES)};
    if (!log->bytes)
        return SQLITE_NOMEM;
    const int code = system_of(vfs)->xOpen(system_of(vfs), name, log->real, flags, flags_out);
    if (code == SQLITE_OK)
        log->base.pMethods = &LOG_METHODS;
    else
        free(log->bytes);
    return code;
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *flags_out)
{
    file->pMethods = NULL; /* nothing to close when this fails */
    if (flags & SQLITE_OPEN_WAL)
        return open_log(vfs, name, log_of(file), flags, flags_out);
    return system_of(vfs)->xOpen(system_of(vfs), name, file, flags, flags_out);
}

static int delete_file(sqlite3_vfs *vfs, const char *name, int sync_folder)
{
    return system_of(vfs)->xDelete(system_of(vfs), name, sync_folder);
}

static int access_file(sqlite3_vfs *vfs, const char *name, int flags, int *result)
{
    return system_of(vfs)->xAccess(system_of(vfs), name, flags, result);
}

static int full_name(sqlite3_vfs *vfs, const char *name, int size, char *full)
{
    return system_of(vfs)->xFullPathname(system_of(vfs), name, size, full);
}

static int draw(sqlite3_vfs *vfs, int count, char *bytes)
{
    return system_of(vfs)->xRandomness(system_of(vfs), count, bytes);
}

static int wait_for(sqlite3_vfs *vfs, int microseconds)
{
    return system_of(vfs)->xSleep(system_of(vfs), microseconds);
}

static int now(sqlite3_vfs *vfs, double *day)
{
    return system_of(vfs)->xCurrentTime(system_of(vfs), day);
}

static int last_error(sqlite3_vfs *vfs, int size, char *text)
{
    return system_of(vfs)->xGetLastError(system_of(vfs), size, text);
}

bool sql_gather_add(struct sql_gather *log, struct fault *fault)
{
    sqlite3_vfs *system = sqlite3_vfs_find(NULL);
    struct builder name;
    if (!system)
        return fault_set(fault, FAULT_STORAGE, "SQLite knows no file system here: install its library anew");
    builder_init(&name, log->name, sizeof log->name);
    builder_addf(&name, "log-%p", (void *)log);
    log->vfs = (sqlite3_vfs){.iVersion = 1, /* what a version 1 offers is all that the ledger asks for */
                             .szOsFile = (int)sizeof(struct log_file) + system->szOsFile,
                             .mxPathname = system->mxPathname,
                             .zName = log->name,
                             .pAppData = system,
                             .xOpen = open_file,
                             .xDelete = delete_file,
                             .xAccess = access_file,
                             .xFullPathname = full_name,
                             .xRandomness = draw,
                             .xSleep = wait_for,
                             .xCurrentTime = now,
                             .xGetLastError = last_error};
    if (sqlite3_vfs_register(&log->vfs, 0) == SQLITE_OK)
        return true;
    *log = (struct sql_gather){.name = ""};
    return fault_set(fault, FAULT_STORAGE, "no memory to open the ledger: end other programs");
}

void sql_gather_remove(struct sql_gather *log)
{
    if (log->name[0])
        (void)sqlite3_vfs_unregister(&log->vfs);
}
