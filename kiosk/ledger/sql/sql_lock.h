#ifndef KIOSK_LEDGER_SQL_SQL_LOCK_H
#define KIOSK_LEDGER_SQL_SQL_LOCK_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* One lock file for whoever writes a SQLite ledger: PATH.lock, an flock that the kernel drops when the program ends,
 * however it ends. SQLite's own locks come and go with each transaction; this one is held for as long as the ledger is
 * open, because only one connection may ever checkpoint it. The file stays behind, empty: removing it would let two
 * programs lock two different files of the same name. One that stays behind with a process number in it was held by
 * somebody who ended without closing the ledger: killed, or the whole machine was. */

/* FAULT_BUSY: another program (or another connection of this one) holds it; FAULT_STORAGE: the folder does not allow a
 * lock file. True: `*lock` is a descriptor for sql_lock_release, and `*left_by` the process that did not release it, 0
 * when the last one did. */
bool sql_lock_take(const char *path, int *lock, int64_t *left_by, struct fault *fault);
void sql_lock_release(int lock); /* -1: nothing */

#endif
