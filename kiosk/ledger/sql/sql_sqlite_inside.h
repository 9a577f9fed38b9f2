#ifndef KIOSK_LEDGER_SQL_SQL_SQLITE_INSIDE_H
#define KIOSK_LEDGER_SQL_SQL_SQLITE_INSIDE_H

#include <sqlite3.h>

#include "kiosk/ledger/sql/sql_driver.h"
#include "kiosk/ledger/sql/sql_gather.h"

/* A SQLite connection, for sql_sqlite.c (what it does) and sql_sqlite_open.c (how it begins) alone. */

enum { SQLITE_BUSY_MS = 1000, SQLITE_BRACKETS = 7 };

struct sqlite_sql {
    struct sql base;
    sqlite3 *handle;
    sqlite3_stmt *brackets[SQLITE_BRACKETS]; /* NULL until used */
    struct sql_gather log;                   /* a writer's */
    int lock;                                /* -1: a reader */
    int log_pages; /* in the write-ahead log after the last commit, 0 once all are checkpointed */
    int64_t page_bytes;
    struct sql_found found;
    char *path; /* resolved */
};

static inline struct sqlite_sql *inside(struct sql *sql)
{
    return (struct sqlite_sql *)sql; /* base is the first member */
}

static inline const struct sqlite_sql *look_inside(const struct sql *sql)
{
    return (const struct sqlite_sql *)sql;
}

extern const struct sql_driver SQLITE_DRIVER;

/* Sets the trouble and the sentence of an error; returns false. */
bool sqlite_fail(struct sql *sql, int code, struct fault *fault);
bool sqlite_exec(struct sql *sql, const char *text, struct fault *fault);
void sqlite_close(struct sql *sql); /* also of one that was opened in part */

#endif
