#ifndef KIOSK_LEDGER_BACKUP_BACKUP_FOLDER_H
#define KIOSK_LEDGER_BACKUP_BACKUP_FOLDER_H

#include "kiosk/ledger/backup/backup.h"
#include "kiosk/ledger/backup/backup_name.h"

/* A folder of backups that a kiosk makes by itself (backup_name.h). It counts and removes only what is its own: a plain
 * file with such a name, whose head is the one the name says and stands in this ledger's chain. What else lies there,
 * another room's backups included, is left alone. A file has its name only because it was checked whole. */

struct backup_newest {
    bool found;
    struct instant at; /* by its name */
    int64_t seq;
    char name[BACKUP_NAME_SIZE];
};

/* The newest of our own: the one with the most movements, of those the latest. A folder without any is no fault; a
 * missing one is FAULT_STORAGE with a sentence. */
bool backup_folder_newest(const char *folder, const char *address, struct backup_newest *newest, struct fault *fault);

/* Makes one more (backup_make), then removes the oldest of our own so that `keep` stay, 1 or more. The one just made
 * always stays. False with `made->found`: the copy is good, but an old one could not be removed. `*kept` may be NULL;
 * `*made` is to be zero before. */
bool backup_folder_add(const char *folder, const char *address, int keep, struct instant now, const atomic_bool *stop,
                       struct backup_newest *made, struct backup_facts *facts, int *kept, struct fault *fault);

/* The same disk as the ledger's (SQLite): then both die together. False when it is not known. */
bool backup_folder_shares_disk(const char *folder, const char *address);

/* How long until the next is due, 0: now. At a start: from the newest one's age by the wall clock; an age below 0 (the
 * clock was set back, or the file comes from the future) says nothing, so one is made. Pure. */
int64_t backup_due_ms(const struct backup_newest *newest, struct instant now, int64_t every_ms);

#endif
