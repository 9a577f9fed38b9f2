#ifndef KIOSK_LEDGER_SQL_LOCK_H
#define KIOSK_LEDGER_SQL_LOCK_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* One lock file for whoever writes a SQLite ledger: PATH.lock, an flock that the kernel drops when the program ends,
 * however it ends. SQLite's own locks come and go with each transaction; this one is held for as long as the ledger is
 * open, because only one connection may ever checkpoint it. The file stays behind, empty: removing it would let two
 * programs lock two different files of the same name. */

/* FAULT_BUSY: another program (or another connection of this one) holds it; FAULT_STORAGE: the folder does not allow a
 * lock file. True: `*lock` is a descriptor for sql_lock_release. */
bool sql_lock_take(const char *path, int *lock, struct fault *fault);
void sql_lock_release(int lock); /* -1: nothing */

#endif
