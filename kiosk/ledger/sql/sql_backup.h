#ifndef KIOSK_LEDGER_SQL_SQL_BACKUP_H
#define KIOSK_LEDGER_SQL_SQL_BACKUP_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* SQLite ledgers as files: what no statement of sql.h can do. Paths, not addresses. Only backup*.c and verify_form.c
 * include this. None
 * of it checkpoints a ledger that somebody else writes (SQLite before 3.51.3 could corrupt its log then). */

/* The state that the last commit left, by SQLite's online backup in one step from a read-only connection, while others
 * go on writing. `to` is an empty file; it becomes one plain file (journal mode DELETE) that opens anywhere, without
 * side files. Not synced. */
bool sql_copy_file(const char *from, const char *to, struct fault *fault);

/* Makes a ledger that nobody has open one plain file. */
bool sql_make_plain(const char *path, struct fault *fault);

/* What SQLite itself can check of a file (every page, every index), and that it holds no trigger or view: a ledger has
 * none, and somebody else's would act on our behalf. FAULT_INPUT says what is wrong. */
bool sql_check_file(const char *path, struct fault *fault);

/* The first value of a row that is not of its column's type, or the first trigger or view; `what` is "" when there is
 * none. Movements, acts and answers are not looked at. */
struct sql_odd_value {
    char what[240]; /* "lot FLINT RS24117B: expires is stored as text, where integer belongs" */
};
bool sql_find_odd_value(const char *path, struct sql_odd_value *odd, struct fault *fault);

/* Moves what stands in the write-ahead log into the file and removes the log. Only for whoever holds the writer's lock.
 * *folded is false when the file is too damaged for that; FAULT_BUSY when somebody still reads. */
bool sql_fold_log(const char *path, bool *folded, struct fault *fault);

#endif
