#ifndef KIOSK_LEDGER_SQL_SQL_SQLITE_FILE_H
#define KIOSK_LEDGER_SQL_SQL_SQLITE_FILE_H

#include <stdbool.h>

#include <sqlite3.h>

#include "labels/basics/fault.h"

/* Opening a SQLite file by its path, outside the driver; for sql_sqlite_*.c alone. A reader never checkpoints. The
 * handle is the caller's to close, also after a failure. */
bool sql_file_open(const char *path, bool writes, sqlite3 **handle, struct fault *fault);
/* The sentence of an error; returns false. */
bool sql_file_tell(const char *path, sqlite3 *handle, int code, struct fault *fault);

#endif
