#ifndef KIOSK_LEDGER_SQL_SQL_LOG_H
#define KIOSK_LEDGER_SQL_SQL_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* Looks at a SQLite write-ahead log before SQLite does. SQLite reads a log up to the first frame whose checksum is
 * wrong and takes that for its end, as after a power cut; whatever was committed behind it is gone without a word, and
 * the next commit overwrites it. What is damaged there can only be seen before the file is opened.
 *
 * Every commit is synchronised before the next begins. So a power cut can spoil the last transaction of the log alone;
 * a bad frame with commits of the same log behind its own transaction, or a bad header, is damage. What the file holds
 * already (the log had been moved into it) is no loss, and then all is well.
 *
 * Source: SQLite file format, section 4, https://www.sqlite.org/fileformat2.html#the_write_ahead_log */

enum sql_log_state {
    SQL_LOG_WHOLE,   /* or none, or empty, or all of it is in the file */
    SQL_LOG_TORN,    /* the last transaction is not whole */
    SQL_LOG_DAMAGED, /* transactions were committed that cannot be read */
    SQL_LOG_UNREAD   /* the disk did not give the bytes, or there was no memory */
};

struct sql_log_report {
    enum sql_log_state state;
    int64_t frames;    /* in the file, those of earlier rounds included */
    int64_t bad_frame; /* the first that does not hold, from 1; 0: the header */
    int64_t lost;      /* commits behind it, as far as can be seen */
};

/* Bytes of a file or of memory. `read` gives all of them or false. */
struct sql_log_bytes {
    bool (*read)(void *context, int64_t at, uint8_t *bytes, size_t length);
    void *context;
    int64_t size;
};

/* Judges `log` against the database `file`. Any bytes. */
void sql_log_judge(const struct sql_log_bytes *log, const struct sql_log_bytes *file, struct sql_log_report *report);

/* PATH and PATH-wal. True: `*torn` says whether the last transaction is cut off, `*log_bytes` what the log takes.
 * FAULT_DAMAGED, FAULT_STORAGE. Reads PATH through SQLite's own file layer, so that its locks are left alone. */
bool sql_log_look(const char *path, int64_t *log_bytes, bool *torn, struct fault *fault);

#endif
