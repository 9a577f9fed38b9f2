#ifndef KIOSK_LEDGER_SQL_SQL_PROCESS_H
#define KIOSK_LEDGER_SQL_SQL_PROCESS_H

#include <stdint.h>

#include "kiosk/ledger/sql/sql.h"

/* Who else has his hand on a SQLite file: the sentence names him. SQLite locks single bytes of PATH-shm (write-ahead
 * log: "WAL-mode file format", section 2.3: the writer's byte is 120, the readers' are 123 to 127); the kernel lists
 * all such locks with their owners in /proc/locks. That list is read, and never the file: closing a descriptor of ours
 * on it would drop SQLite's own locks. Source: https://www.sqlite.org/walformat.html, proc(5) */

enum sql_process_does { SQL_PROCESS_WRITES, SQL_PROCESS_READS };

/* A process other than this one, and its name ("" when it cannot be learnt); 0 when none is seen. */
int64_t sql_process_find(const char *path, enum sql_process_does does, char name[SQL_PROCESS_NAME_SIZE]);

#endif
