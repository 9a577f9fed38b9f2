#ifndef KIOSK_LEDGER_SQL_SQL_H
#define KIOSK_LEDGER_SQL_SQL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* One connection to a database, the same for SQLite and PostgreSQL (docs/sql.md: the common subset). Only
 * kiosk/ledger includes this. Not thread safe: one thread at a time.
 *
 * A statement is a constant: its text with $1 … $n, and one letter a parameter: i whole number (64 bits), t text,
 * b bytes. It is prepared once a connection, found again by the constant's address, and lent out by sql_start until
 * sql_done; started a second time in between, a second one is prepared. Values are bound, never formatted in. */

struct sql;
struct sql_statement;

enum sql_mode { SQL_WRITER, SQL_READER };
enum { SQL_PARAMETERS = 40, SQL_NAME_SIZE = 128, SQL_PROCESS_NAME_SIZE = 16 };

struct sql_text {
    const char *text;
    const char *types;
};

/* What was wrong with the last call that failed, for whoever decides whether to try again. */
enum sql_trouble {
    SQL_NO_TROUBLE,
    SQL_BUSY,       /* someone else holds a lock: later */
    SQL_FULL,       /* disk full */
    SQL_IO,         /* the disk failed */
    SQL_MEMORY,     /* no memory; the connection is as good as before, its transaction may be gone */
    SQL_CORRUPT,    /* the file is damaged or is no database */
    SQL_CONSTRAINT, /* a key or check said no */
    SQL_LOST,       /* connection lost; of a COMMIT: it is unknown whether it took place */
    SQL_INPUT,      /* a value that no ledger takes, such as text that is not UTF-8 */
    SQL_RETRY,      /* serialization failure or deadlock (40001, 40P01): the same again may succeed */
    SQL_OTHER
};

/* `address` as ledger_open. SQL_WRITER of a SQLite file makes the file and holds PATH.lock until closed. */
bool sql_open(const char *address, enum sql_mode mode, struct sql **sql, struct fault *fault);
void sql_close(struct sql *sql); /* accepts NULL; rolls back what is open */
/* The file of a SQLite ledger's address (points into it), NULL when it is PostgreSQL's. */
const char *sql_sqlite_path(const char *address);

enum sql_trouble sql_trouble(const struct sql *sql);
const char *sql_name(const struct sql *sql); /* for sentences: the path, or host and database without a password */
bool sql_is_writer(const struct sql *sql);

/* A writer's transaction takes the write lock at once (SQLite) or with its first UPDATE (PostgreSQL); a reader's sees
 * one state of the ledger throughout. One savepoint at a time. */
bool sql_begin(struct sql *sql, struct fault *fault);
bool sql_begins_locked(const struct sql *sql); /* SQLite's way */
bool sql_commit(struct sql *sql, struct fault *fault);
void sql_rollback(struct sql *sql);
bool sql_savepoint(struct sql *sql, struct fault *fault);
bool sql_release(struct sql *sql, struct fault *fault);
bool sql_rollback_to(struct sql *sql, struct fault *fault);
/* After a failed statement: false means that the engine has rolled back everything. */
bool sql_in_transaction(const struct sql *sql);

/* Text without parameters (schema, settings); several statements parted by semicolons are run in order. */
bool sql_exec(struct sql *sql, const char *text, struct fault *fault);
bool sql_has_table(struct sql *sql, const char *table, bool *has, struct fault *fault);
bool sql_has_any_table(struct sql *sql, bool *has, struct fault *fault);
/* The engine's word for the schema's {int}, {blob}, {text} or {rowless}; NULL for anything else. */
const char *sql_schema_word(const struct sql *sql, const char *name, size_t length);

/* `*statement` is borrowed until sql_done. Binding cannot fail at once: text that is no UTF-8, no memory and the like
 * are told by the step. Parameters count from 1, columns from 0. Everything must be bound. */
bool sql_start(struct sql *sql, const struct sql_text *text, struct sql_statement **statement, struct fault *fault);
void sql_bind_whole(struct sql_statement *statement, int parameter, int64_t value);
void sql_bind_text(struct sql_statement *statement, int parameter, const char *value);
void sql_bind_blob(struct sql_statement *statement, int parameter, const uint8_t *bytes, size_t length);
void sql_bind_null(struct sql_statement *statement, int parameter);

/* The next row: `*row` false when there is none (more). On failure the statement is still the caller's to sql_done. */
bool sql_step(struct sql_statement *statement, bool *row, struct fault *fault);
bool sql_is_null(struct sql_statement *statement, int column);
/* Null, or stored as what its letter says (i, t, b as for parameters): SQLite keeps a text in a column of numbers and
 * reads it as one. Ask before reading. */
bool sql_is_of_type(struct sql_statement *statement, int column, char type);
int64_t sql_whole(struct sql_statement *statement, int column); /* 0 when null */
/* Borrowed until the next step or done; "" and length 0 when null, and when there is no memory for it: that is told by
 * sql_check_read, and by the next step. */
const char *sql_text(struct sql_statement *statement, int column, size_t *length);
const uint8_t *sql_blob(struct sql_statement *statement, int column, size_t *length);
/* Has everything of this row been read as it is? */
bool sql_check_read(struct sql_statement *statement, struct fault *fault);

void sql_done(struct sql_statement *statement); /* accepts NULL */
/* Steps to the end, then sql_done. `*changed` (may be NULL): rows inserted, updated or deleted. */
bool sql_finish(struct sql_statement *statement, int64_t *changed, struct fault *fault);
/* Statements lent out right now: a row walk is open. */
int sql_open_statements(const struct sql *sql);

/* SQLite's writer: moves the write-ahead log into the file. PostgreSQL: nothing. */
enum sql_checkpoint {
    SQL_CHECKPOINT_PASSIVE, /* what no reader still needs; waits for nobody */
    SQL_CHECKPOINT_EMPTY,   /* and leaves the log at 0 bytes when nobody reads; waits for nobody */
    SQL_CHECKPOINT_CLOSE    /* the same, waiting a moment for readers */
};
bool sql_checkpoint(struct sql *sql, enum sql_checkpoint how, struct fault *fault);
/* Bytes in the write-ahead log since the last whole checkpoint; 0 on PostgreSQL. */
int64_t sql_log_bytes(const struct sql *sql);
/* Bytes that the log's file takes; 0 on PostgreSQL, and for readers. */
int64_t sql_log_file_bytes(const struct sql *sql);
/* Another process that reads from this SQLite file now, and its name; 0: none is seen. */
int64_t sql_find_reader(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE]);
/* Likewise, one that holds its write lock. */
int64_t sql_find_writer(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE]);

/* What the writer of a SQLite file found when it opened it; zeros for readers and on PostgreSQL. */
struct sql_found {
    int64_t left_by;    /* the process named by the lock file: it ended without closing the ledger. 0: none */
    int64_t log_bytes;  /* in the write-ahead log */
    int64_t file_bytes; /* in the file */
    bool log_torn;      /* the log ends in the middle of its last transaction, as a power cut leaves it */
};
void sql_found(const struct sql *sql, struct sql_found *found);

/* Has nobody written to the ledger, this connection included, since the last call with this mark? Sets the mark (0 at
 * first) to now. In a transaction or just after a commit; false also when it cannot be known (PostgreSQL). */
bool sql_alone_since(const struct sql *sql, int64_t *mark);

/* Rows that this connection has inserted, changed and deleted so far, rolled back or not; -1: not counted (PostgreSQL).
 */
int64_t sql_rows_written(const struct sql *sql);

/* Is it a file of ours (SQLite), and not a server's? */
bool sql_has_file(const struct sql *sql);

/* From any thread while `sql` is open: the statement that runs now fails soon. SQLite only. */
void sql_interrupt(struct sql *sql);

#endif
