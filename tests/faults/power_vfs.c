#include "tests/faults/power_vfs.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sqlite3.h>

/* ---- the recording ---- */

/* SQLite's hooks bring no context of ours along, so there is one recording a program. */
static struct {
    pthread_mutex_t lock; /* guards all below */
    bool on, lying;
    char path[512];
    struct power_event *events;
    size_t count, room, checkpoints;
    int files;              /* numbers given out */
    int there[POWER_NAMES]; /* the file under each name, -1 none */
    int answered, under_way;
} tape = {.lock = PTHREAD_MUTEX_INITIALIZER};

const char *power_vfs_suffix(enum power_name name)
{
    static const char *const suffixes[POWER_NAMES] = {"", "-journal", "-wal"};
    return suffixes[name];
}

/* Which of the recorded ledger's files this is; POWER_NAMES: none of them. */
static enum power_name name_of(const char *path)
{
    const size_t length = strlen(tape.path);
    if (!tape.on || !path || strncmp(path, tape.path, length) != 0)
        return POWER_NAMES;
    for (int name = 0; name < POWER_NAMES; name++)
        if (strcmp(path + length, power_vfs_suffix(name)) == 0)
            return name;
    return POWER_NAMES;
}

static void *must_have(void *memory)
{
    if (!memory) {
        (void)fputs("power: no memory for the recording\n", stderr);
        abort();
    }
    return memory;
}

/* The caller holds the lock. `bytes` are copied. */
static struct power_event *append(enum power_kind kind, enum power_name name, int file, const void *bytes,
                                  size_t length)
{
    if (tape.count == tape.room) {
        tape.room = tape.room ? 2 * tape.room : 4096;
        tape.events = must_have(realloc(tape.events, tape.room * sizeof *tape.events));
    }
    struct power_event *event = &tape.events[tape.count++];
    *event = (struct power_event){.kind = kind,
                                  .name = name,
                                  .file = file,
                                  .length = length,
                                  .answered = tape.answered,
                                  .under_way = tape.under_way};
    if (bytes) {
        event->bytes = must_have(malloc(length ? length : 1));
        memcpy(event->bytes, bytes, length);
    }
    return event;
}

void power_vfs_start(const char *path, bool lying)
{
    pthread_mutex_lock(&tape.lock);
    (void)snprintf(tape.path, sizeof tape.path, "%s", path);
    tape.on = true;
    tape.lying = lying;
    tape.events = NULL;
    tape.count = tape.room = tape.checkpoints = 0;
    tape.files = tape.answered = tape.under_way = 0;
    for (int name = 0; name < POWER_NAMES; name++)
        tape.there[name] = -1;
    pthread_mutex_unlock(&tape.lock);
}

static void find_file(enum power_name name)
{
    char path[sizeof tape.path + 16];
    uint8_t bytes[65536];
    size_t length = 0;
    int64_t offset = 0;
    (void)snprintf(path, sizeof path, "%s%s", tape.path, power_vfs_suffix(name));
    FILE *file = fopen(path, "re");
    if (!file)
        return;
    const int number = tape.there[name] = tape.files++;
    (void)append(POWER_CREATE, name, number, NULL, 0);
    while ((length = fread(bytes, 1, sizeof bytes, file)) > 0) {
        append(POWER_WRITE, name, number, bytes, length)->offset = offset;
        offset += (int64_t)length;
    }
    (void)append(POWER_SYNC, name, number, NULL, 0);
    (void)fclose(file);
}

void power_vfs_find(void)
{
    pthread_mutex_lock(&tape.lock);
    for (int name = 0; name < POWER_NAMES; name++)
        find_file(name);
    (void)append(POWER_FOLDER_SYNC, POWER_NAMES, -1, NULL, 0);
    pthread_mutex_unlock(&tape.lock);
}

void power_vfs_tell(int answered, int under_way)
{
    pthread_mutex_lock(&tape.lock);
    const bool grown = answered > tape.answered;
    tape.answered = answered;
    tape.under_way = under_way;
    if (tape.on && grown)
        (void)append(POWER_ANSWER, POWER_NAMES, -1, NULL, 0);
    pthread_mutex_unlock(&tape.lock);
}

size_t power_vfs_count(void)
{
    pthread_mutex_lock(&tape.lock);
    const size_t count = tape.count;
    pthread_mutex_unlock(&tape.lock);
    return count;
}

size_t power_vfs_checkpoints(void)
{
    pthread_mutex_lock(&tape.lock);
    const size_t count = tape.checkpoints;
    pthread_mutex_unlock(&tape.lock);
    return count;
}

struct power_event *power_vfs_stop(size_t *count)
{
    pthread_mutex_lock(&tape.lock);
    struct power_event *events = tape.events;
    *count = tape.count;
    tape.on = false;
    tape.events = NULL;
    tape.count = tape.room = 0;
    pthread_mutex_unlock(&tape.lock);
    return events;
}

void power_vfs_free(struct power_event *events, size_t count)
{
    for (size_t i = 0; i < count; i++)
        free(events[i].bytes);
    free(events);
}

/* ---- one open file ---- */

struct power_file {
    sqlite3_file base;
    enum power_name name; /* POWER_NAMES: not recorded */
    int file;
    sqlite3_file real[]; /* the unix one's, which takes up the rest */
};

static struct power_file *inside(sqlite3_file *file)
{
    return (struct power_file *)file; /* base is the first member */
}

static sqlite3_file *real(sqlite3_file *file)
{
    return inside(file)->real;
}

static int file_close(sqlite3_file *file)
{
    return real(file)->pMethods->xClose(real(file));
}

static int file_read(sqlite3_file *file, void *bytes, int length, sqlite3_int64 offset)
{
    return real(file)->pMethods->xRead(real(file), bytes, length, offset);
}

static int file_write(sqlite3_file *file, const void *bytes, int length, sqlite3_int64 offset)
{
    const struct power_file *in = inside(file);
    pthread_mutex_lock(&tape.lock);
    if (tape.on && in->name != POWER_NAMES)
        append(POWER_WRITE, in->name, in->file, bytes, (size_t)length)->offset = offset;
    pthread_mutex_unlock(&tape.lock);
    return real(file)->pMethods->xWrite(real(file), bytes, length, offset);
}

static int file_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    const struct power_file *in = inside(file);
    pthread_mutex_lock(&tape.lock);
    if (tape.on && in->name != POWER_NAMES)
        append(POWER_TRUNCATE, in->name, in->file, NULL, 0)->offset = size;
    pthread_mutex_unlock(&tape.lock);
    return real(file)->pMethods->xTruncate(real(file), size);
}

static int file_sync(sqlite3_file *file, int flags)
{
    const struct power_file *in = inside(file);
    pthread_mutex_lock(&tape.lock);
    if (tape.on && in->name != POWER_NAMES) {
        append(POWER_SYNC, in->name, in->file, NULL, 0)->ignored = tape.lying && in->name == POWER_LOG;
        tape.checkpoints += in->name == POWER_LEDGER;
    }
    pthread_mutex_unlock(&tape.lock);
    return real(file)->pMethods->xSync(real(file), flags); /* and the folder, by the hook below */
}

static int file_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real(file)->pMethods->xFileSize(real(file), size);
}

static int file_lock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xLock(real(file), level);
}

static int file_unlock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xUnlock(real(file), level);
}

static int file_reserved(sqlite3_file *file, int *reserved)
{
    return real(file)->pMethods->xCheckReservedLock(real(file), reserved);
}

static int file_control(sqlite3_file *file, int what, void *argument)
{
    return real(file)->pMethods->xFileControl(real(file), what, argument);
}

static int file_sector(sqlite3_file *file)
{
    return real(file)->pMethods->xSectorSize(real(file));
}

static int file_device(sqlite3_file *file)
{
    return real(file)->pMethods->xDeviceCharacteristics(real(file));
}

static int file_shm_map(sqlite3_file *file, int page, int size, int extend, void volatile **at)
{
    return real(file)->pMethods->xShmMap(real(file), page, size, extend, at);
}

static int file_shm_lock(sqlite3_file *file, int offset, int count, int flags)
{
    return real(file)->pMethods->xShmLock(real(file), offset, count, flags);
}

static void file_shm_barrier(sqlite3_file *file)
{
    real(file)->pMethods->xShmBarrier(real(file));
}

static int file_shm_unmap(sqlite3_file *file, int remove)
{
    return real(file)->pMethods->xShmUnmap(real(file), remove);
}

static const sqlite3_io_methods METHODS = {
    .iVersion = 2, /* without memory-mapped reads, which the ledger does not use */
    .xClose = file_close,
    .xRead = file_read,
    .xWrite = file_write,
    .xTruncate = file_truncate,
    .xSync = file_sync,
    .xFileSize = file_size,
    .xLock = file_lock,
    .xUnlock = file_unlock,
    .xCheckReservedLock = file_reserved,
    .xFileControl = file_control,
    .xSectorSize = file_sector,
    .xDeviceCharacteristics = file_device,
    .xShmMap = file_shm_map,
    .xShmLock = file_shm_lock,
    .xShmBarrier = file_shm_barrier,
    .xShmUnmap = file_shm_unmap,
};

/* ---- the folder ---- */

static sqlite3_vfs *below; /* SQLite's own */
static int (*open_folder_below)(const char *, int *);

/* The ledger's own file is made by the product before SQLite opens it (sql_sqlite.c), the others by SQLite: either way
 * it is new when it was not known under this name. */
static int vfs_open(sqlite3_vfs *vfs, const char *path, sqlite3_file *file, int flags, int *out)
{
    struct power_file *in = inside(file);
    (void)vfs;
    in->base.pMethods = NULL;
    const int code = below->xOpen(below, path, in->real, flags, out);
    if (!in->real->pMethods)
        return code;
    in->base.pMethods = &METHODS;
    pthread_mutex_lock(&tape.lock);
    in->name = name_of(path);
    if (in->name != POWER_NAMES && tape.there[in->name] < 0) {
        tape.there[in->name] = tape.files++;
        (void)append(POWER_CREATE, in->name, tape.there[in->name], NULL, 0);
    }
    in->file = in->name == POWER_NAMES ? -1 : tape.there[in->name];
    pthread_mutex_unlock(&tape.lock);
    return code;
}

static int vfs_delete(sqlite3_vfs *vfs, const char *path, int sync)
{
    (void)vfs;
    pthread_mutex_lock(&tape.lock);
    const enum power_name name = name_of(path);
    if (name != POWER_NAMES && tape.there[name] >= 0) {
        (void)append(POWER_DELETE, name, tape.there[name], NULL, 0);
        tape.there[name] = -1;
    }
    pthread_mutex_unlock(&tape.lock);
    return below->xDelete(below, path, sync);
}

static int open_folder(const char *path, int *descriptor)
{
    pthread_mutex_lock(&tape.lock);
    if (name_of(path) != POWER_NAMES)
        (void)append(POWER_FOLDER_SYNC, POWER_NAMES, -1, NULL, 0);
    pthread_mutex_unlock(&tape.lock);
    return open_folder_below(path, descriptor);
}

bool power_vfs_install(void)
{
    static sqlite3_vfs layer;
    if (sqlite3_initialize() != SQLITE_OK || !(below = sqlite3_vfs_find("unix")) || below->iVersion < 3)
        return false;
    open_folder_below = (int (*)(const char *, int *))below->xGetSystemCall(below, "openDirectory");
    layer = *below; /* what is not replaced works on its argument's pAppData, the same here */
    layer.zName = "power";
    layer.szOsFile = (int)sizeof(struct power_file) + below->szOsFile;
    layer.xOpen = vfs_open;
    layer.xDelete = vfs_delete;
    return open_folder_below &&
           below->xSetSystemCall(below, "openDirectory", (sqlite3_syscall_ptr)open_folder) == SQLITE_OK &&
           sqlite3_vfs_register(&layer, 1) == SQLITE_OK;
}
