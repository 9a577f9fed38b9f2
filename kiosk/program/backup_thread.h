#ifndef KIOSK_PROGRAM_BACKUP_THREAD_H
#define KIOSK_PROGRAM_BACKUP_THREAD_H

#include <stdbool.h>

#include <jansson.h>

#include "kiosk/basics/clock.h"
#include "labels/basics/fault.h"

/* The slow worker: a backup of the ledger into a folder, every so many hours, while the counter goes on. It runs at the
 * lowest priority of processor and disk, reads by connections of its own, and touches nothing of the writer's.
 *
 * When: by the monotonic clock while it runs, and at start by the age of the newest backup in the folder, so that a
 * restart neither skips nor doubles one and a wall clock that was set back stops nothing. A failed one is tried again
 * after BACKUP_RETRY_MS; the kiosk goes on. */

enum { BACKUP_RETRY_MS = 10 * 60 * 1000 };

struct backup_thread;

struct backup_thread_options {
    const char *folder; /* borrowed, as the address, until stop */
    const char *ledger_address;
    int every_hours, keep;
    struct clock *clock; /* borrowed */
};

bool backup_thread_start(const struct backup_thread_options *options, struct backup_thread **thread,
                         struct fault *fault);
/* Waits for the step at work (copying or checking); a backup that is not done leaves nothing. Accepts NULL. */
void backup_thread_stop(struct backup_thread *thread);

/* Adds the object "backup": set_up, ok, folder, newest, file, movements, head, sentence. Any thread; NULL: no
 * backups are set up. */
void backup_thread_tell(struct backup_thread *thread, json_t *health);

#endif
