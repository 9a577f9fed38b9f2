#ifndef TESTS_FAULTS_POWER_VFS_H
#define TESTS_FAULTS_POWER_VFS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A layer between SQLite and its own "unix" file system code, the default for every connection once installed, so that
 * the product's code runs unchanged. It hands everything on, and while it records, it writes down what the files of one
 * ledger were told, in order: what a power cut would leave of them is worked out from that by power_disk.h.
 *
 * Of the folder it notes what SQLite 3.40 really does, not what it should: the hook is SQLite's own system call
 * "openDirectory", which it makes only to sync the folder it opened (after the first sync of a rollback journal or a
 * write-ahead log it was told to create; never after it removed one). The -shm file is not recorded: it is memory, made
 * anew at the first opening after a cut.
 *
 * One recording at a time, by any threads. */

enum power_name { POWER_LEDGER, POWER_JOURNAL, POWER_LOG, POWER_NAMES };

enum power_kind {
    POWER_WRITE,
    POWER_TRUNCATE,
    POWER_SYNC,        /* of one file */
    POWER_CREATE,      /* a new file under this name */
    POWER_DELETE,      /* the name is gone */
    POWER_FOLDER_SYNC, /* both kinds above are durable now */
    POWER_ANSWER       /* `answered` has grown */
};

struct power_event {
    enum power_kind kind;
    enum power_name name;
    int file;       /* a number a file: one made anew under a name gets the next */
    int64_t offset; /* WRITE; TRUNCATE: the new length */
    size_t length;
    uint8_t *bytes;
    bool ignored;  /* a sync that the disk only claimed to have done */
    int answered;  /* acts 0 … answered-1 had been answered before this */
    int under_way; /* and so many more had been sent */
};

/* False: SQLite would not have it. Once a program, before any connection is opened. */
bool power_vfs_install(void);

/* Records the ledger at `path` from now on. `lying`: a disk that claims to sync the
 * write-ahead log and does not (what synchronous=OFF would amount to). */
void power_vfs_start(const char *path, bool lying);
/* What lies there already is durable: noted as made, written and synced. Before anything opens it. */
void power_vfs_find(void);
/* What the harness knows of the acts; every event after it carries this. */
void power_vfs_tell(int answered, int under_way);
/* Events so far, and those that were a sync of the ledger's own file: it is written by checkpoints alone. */
size_t power_vfs_count(void);
size_t power_vfs_checkpoints(void);
/* Ends the recording. The events are the caller's: power_vfs_free. */
struct power_event *power_vfs_stop(size_t *count);
void power_vfs_free(struct power_event *events, size_t count);

const char *power_vfs_suffix(enum power_name name); /* "", "-journal", "-wal" */

#endif
