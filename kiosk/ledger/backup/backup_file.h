#ifndef KIOSK_LEDGER_BACKUP_BACKUP_FILE_H
#define KIOSK_LEDGER_BACKUP_BACKUP_FILE_H

#include <limits.h>
#include <stdbool.h>

#include "labels/basics/fault.h"

/* Files that come into being whole or not at all: written under NAME.part by one program at a time, synced, then given
 * their name. What a killed program leaves under NAME.part is written over by the next one. */

struct backup_part {
    char path[PATH_MAX]; /* "NAME.part" */
    int file;            /* held locked while the part is being made; -1: none */
};

/* Makes an empty NAME.part, mode 0640, and takes it for ourselves. FAULT_BUSY: another program is at it. */
bool backup_part_open(const char *name, struct backup_part *part, struct fault *fault);
/* Everything is on the disk, and what is read from here on comes from there where the system can do that. */
bool backup_part_sync(const struct backup_part *part, struct fault *fault);
/* Gives the part its name, and syncs the folder. FAULT_CONFLICT when `replace` is false and NAME is there by now. */
bool backup_part_publish(struct backup_part *part, const char *name, bool replace, struct fault *fault);
/* Removes what was not published, with the side files that SQLite makes. After publishing: only lets go of it. */
void backup_part_close(struct backup_part *part);

/* Syncs the folder of `path`, so that names made or removed in it stay so. */
bool backup_folder_sync(const char *path, struct fault *fault);
/* Copies bytes to a new file, mode 0640, synced. */
bool backup_bytes_copy(const char *from, const char *to, struct fault *fault);

#endif
