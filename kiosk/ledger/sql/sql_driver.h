#ifndef KIOSK_LEDGER_SQL_SQL_DRIVER_H
#define KIOSK_LEDGER_SQL_SQL_DRIVER_H

#include "kiosk/ledger/sql/sql.h"

/* The inside of sql.h: what an engine's driver gives, for sql.c, sql_sqlite*.c and sql_postgresql*.c alone. A driver's
 * connection and statement begin with the structs below; sql.c keeps the list of prepared statements, the driver frees
 * what it added. A driver's failing function has set `sql->trouble` and the fault (sql_fail). */

struct sql_statement {
    struct sql *sql;
    const struct sql_text *text;
    struct sql_statement *next;
    int parameters;
    bool lent;      /* between sql_start and sql_done */
    uint64_t bound; /* a bit a parameter */
    enum sql_trouble bind_trouble;
    const char *bind_sentence; /* NULL: all was bound well */
    bool unread;               /* there was no memory for a value of the row */
};

struct sql_driver {
    const char *word_int, *word_blob, *word_text, *word_rowless;
    const char *begin_writer, *begin_reader;
    bool begins_locked; /* a writer that has begun is the only one: no row's lock is needed besides */

    void (*close)(struct sql *sql);
    bool (*exec)(struct sql *sql, const char *text, struct fault *fault);
    bool (*commit)(struct sql *sql, struct fault *fault);
    bool (*in_transaction)(const struct sql *sql);
    bool (*prepare)(struct sql *sql, const struct sql_text *text, struct sql_statement **statement,
                    struct fault *fault);
    void (*finalize)(struct sql_statement *statement);
    void (*bind_whole)(struct sql_statement *statement, int parameter, int64_t value);
    void (*bind_bytes)(struct sql_statement *statement, int parameter, char type, const void *bytes, size_t length);
    void (*bind_null)(struct sql_statement *statement, int parameter);
    bool (*step)(struct sql_statement *statement, bool *row, struct fault *fault);
    bool (*is_null)(struct sql_statement *statement, int column);
    bool (*is_of_type)(struct sql_statement *statement, int column, char type); /* NULL: every value is */
    int64_t (*whole)(struct sql_statement *statement, int column);
    const void *(*bytes)(struct sql_statement *statement, int column, char type, size_t *length); /* NULL when null */
    int64_t (*changes)(struct sql_statement *statement);
    void (*reset)(struct sql_statement *statement);
    bool (*checkpoint)(struct sql *sql, enum sql_checkpoint how, struct fault *fault);
    int64_t (*log_bytes)(const struct sql *sql);
    int64_t (*log_file_bytes)(const struct sql *sql);                                /* NULL: there is none */
    int64_t (*find_reader)(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE]); /* NULL */
    int64_t (*find_writer)(const struct sql *sql, char name[SQL_PROCESS_NAME_SIZE]); /* NULL */
    void (*found)(const struct sql *sql, struct sql_found *found);                   /* NULL */
    bool (*alone_since)(const struct sql *sql, int64_t *mark);                       /* NULL: not known */
    int64_t (*rows_written)(const struct sql *sql);                                  /* NULL */
    void (*interrupt)(struct sql *sql);                                              /* NULL */
    const struct sql_text *has_table;     /* $1: name; a row when it is there */
    const struct sql_text *has_any_table; /* a row when there is any table of ours or others */
};

enum { SQL_STATEMENT_LISTS = 61 };

struct sql {
    const struct sql_driver *driver;
    enum sql_mode mode;
    enum sql_trouble trouble;
    struct sql_statement *statements[SQL_STATEMENT_LISTS]; /* by the text's address */
    int lent;
    char name[SQL_NAME_SIZE];
};

bool sql_sqlite_open(const char *path, enum sql_mode mode, struct sql **sql, struct fault *fault);
bool sql_postgresql_open(const char *conninfo, enum sql_mode mode, struct sql **sql, struct fault *fault);

/* The name in sentences, cut when it is long. */
void sql_set_name(struct sql *sql, const char *name);
/* Sets the trouble and its sentence; `detail` is the engine's own word. Returns false. */
bool sql_fail(struct sql *sql, enum sql_trouble trouble, const char *detail, struct fault *fault);
/* Remembers, for the next step, that a value could not be bound. */
void sql_bind_failed(struct sql_statement *statement, enum sql_trouble trouble, const char *sentence);

#endif
