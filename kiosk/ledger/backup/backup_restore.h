#ifndef KIOSK_LEDGER_BACKUP_BACKUP_RESTORE_H
#define KIOSK_LEDGER_BACKUP_BACKUP_RESTORE_H

#include "kiosk/ledger/backup/backup.h"

/* The way back: a backup takes the ledger's place.
 *
 * SQLite: the copy is made and checked whole beside the ledger first. Then what the present ledger's write-ahead log
 * holds is moved into its file, the file gets a second name with the date ("LEDGER.before-20260214T100000Z"), and one
 * rename puts the copy in its place: whenever that is broken off, the name LEDGER leads to the old ledger or to the new
 * one, whole. Nothing is deleted. The ledger's lock is held throughout, so no kiosk books meanwhile.
 * PostgreSQL: by import, into an empty database only.
 *
 * Labels that were printed after the backup are still in the room, so serials are skipped: those that the present
 * ledger has handed out when it is the backup's own continuation, else RESTORE_SERIALS of each letter. */

enum { RESTORE_SERIALS = 1000, RESTORE_NAME_SIZE = 4096 };

struct restore_options {
    int64_t forget;     /* how many movements may be left behind; less or more than there are is FAULT_REFUSED */
    struct instant now; /* for the names */
};

struct restore_report {
    struct backup_facts facts; /* of the ledger as it is now */
    int64_t forgotten;         /* movements of the former ledger that are not in it */
    int64_t serials_skipped;
    char aside[RESTORE_NAME_SIZE]; /* where the former ledger is; "" when there was none */
    bool unreadable;               /* the former one could not be read: nobody knows what it held */
};

bool backup_restore(const char *address, const char *backup, const struct restore_options *options,
                    struct restore_report *report, struct fault *fault);

#endif
