#ifndef KIOSK_LEDGER_SQL_SQL_GATHER_H
#define KIOSK_LEDGER_SQL_SQL_GATHER_H

#include <stdbool.h>

#include <sqlite3.h>

#include "labels/basics/fault.h"

/* How the writer's write-ahead log reaches the disk: SQLite writes each page of a commit by two system calls, thirty an
 * act, and syncs once. This layer between SQLite and the system's own file functions gathers what is appended to the
 * log and writes it in one go before the sync, before anything is read from the log, and before its size is asked for
 * or changed. It keeps back nothing past a sync, so what is durable, and when, is the same; a write that fails is told
 * by the sync, and the commit fails. Other files pass untouched. (tests/faults cut its power and fail its calls.) */

struct sql_gather {
    sqlite3_vfs vfs; /* registered under its own name for one connection */
    char name[32];
};

/* Gathered at most. SQLite's own write takes 17 bits of a length and drops the rest. */
enum { SQL_GATHER_BYTES = 120 * 1024 };

/* Before sqlite3_open_v2, whose last argument is then `log->name`. `*log` must not move until it is removed. */
bool sql_gather_add(struct sql_gather *log, struct fault *fault);
/* After sqlite3_close. Also of one that was never added, all zero. */
void sql_gather_remove(struct sql_gather *log);

#endif
