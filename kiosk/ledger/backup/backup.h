#ifndef KIOSK_LEDGER_BACKUP_BACKUP_H
#define KIOSK_LEDGER_BACKUP_BACKUP_H

#include <stdatomic.h>

#include "kiosk/ledger/chain.h"

/* Backups: a whole copy of a ledger as one SQLite file, whatever engine the ledger lives on, so that one file opens
 * anywhere by itself and can be verified without the kiosk that made it. docs/backup.md is the user's side. */

struct backup_facts {
    int64_t movements, units;
    uint8_t head[HASH_BYTES];
    struct instant newest; /* when the last movement was booked; ms 0: none */
    bool demo;
};

/* What a ledger says of itself, unverified. */
bool backup_look(const char *address, struct backup_facts *facts, struct fault *fault);

/* Is this copy whole: file (SQLite's own check), chain, head, texts, rows? FAULT_INPUT says what is wrong. `address` as
 * ledger_open; of PostgreSQL's the engine looks after its own pages. */
bool backup_check(const char *address, struct backup_facts *facts, struct fault *fault);

/* Copies the ledger into `file` while the kiosk goes on booking: FILE.part is written, synced, checked whole, then
 * renamed. A failed one leaves no FILE and no part, and an existing FILE is FAULT_CONFLICT. The copy is the state at
 * some movement, never half an act. `*stop` (may be NULL) is looked at between the steps: FAULT_BUSY. */
bool backup_make(const char *address, const char *file, const atomic_bool *stop, struct backup_facts *facts,
                 struct fault *fault);

/* The same up to the name: a part that backup_part_open has made is filled, synced and checked. */
struct backup_part;
bool backup_fill(const char *address, const struct backup_part *part, const atomic_bool *stop,
                 struct backup_facts *facts, struct fault *fault);

/* From one ledger into an empty one of any engine, by export and import: every hash is computed anew. */
bool backup_pipe(const char *from, const char *to, struct fault *fault);

#endif
