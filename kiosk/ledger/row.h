#ifndef KIOSK_LEDGER_ROW_H
#define KIOSK_LEDGER_ROW_H

#include "kiosk/ledger/ledger.h"
#include "kiosk/ledger/sql/sql.h"

/* Rows <-> plain structs: a table's columns stand once, as a list of fields in the order of the statements, and
 * loading, saving and walking are the same for all tables. Inside kiosk/ledger only. */

enum row_field_type {
    ROW_TEXT,   /* char[size]; "" is stored as "" */
    ROW_WHOLE,  /* int64_t; MOVEMENT_NULL is NULL */
    ROW_FLAG,   /* bool as 0 or 1 */
    ROW_LETTER, /* char as a text of one */
    ROW_WORD,   /* an enum as its word */
    ROW_BYTES   /* uint8_t[size] */
};

struct row_words { /* an enum's values from 0 up to `count` */
    unsigned count;
    const char *(*word)(unsigned value);
};

struct row_field {
    enum row_field_type type;
    size_t offset, size;
    const struct row_words *words; /* ROW_WORD */
};

struct row_fields {
    const char *table; /* for sentences */
    int count;
    const struct row_field *fields;
    const struct sql_text *kept; /* its rows may be kept (row_memory.h): found by one text, the first field, and
                                  * written by row_save alone. NULL: they may not */
};

#define ROW_FIELD(kind, structure, member)                                                                             \
    {                                                                                                                  \
        ROW_##kind, offsetof(struct structure, member), sizeof(((struct structure *)0)->member), NULL                  \
    }
#define ROW_WORD_FIELD(structure, member, table)                                                                       \
    {                                                                                                                  \
        ROW_WORD, offsetof(struct structure, member), sizeof(((struct structure *)0)->member), (table)                 \
    }
#define ROW_FIELDS(name, list)                                                                                         \
    {                                                                                                                  \
        (name), (int)(sizeof(list) / sizeof *(list)), (list), NULL                                                     \
    }
#define ROW_FIELDS_KEPT(name, list, statement)                                                                         \
    {                                                                                                                  \
        (name), (int)(sizeof(list) / sizeof *(list)), (list), (statement)                                              \
    }

/* A statement's parameters when they are not a whole row; as many as its text has letters. */
struct row_key {
    const char *text;
    int64_t whole;
};
#define ROW_KEYS(...) ((const struct row_key[]){__VA_ARGS__})

/* Parameters from 1, columns from 0. Reading fails (FAULT_DAMAGED) when a value does not fit its field, which only a
 * damaged or foreign table holds; the fields before it are then set. */
void row_bind(struct sql_statement *statement, const struct row_fields *fields, const void *row);
bool row_read(struct sql_statement *statement, const struct row_fields *fields, void *row, struct fault *fault);
/* A text column into `buffer`, cut at a character's end when it is longer. */
void row_read_cut(struct sql_statement *statement, int column, char *buffer, size_t size);

/* One row by its key. `*row` is untouched when there is none. */
bool row_load(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys,
              const struct row_fields *fields, void *row, size_t size, bool *found, struct fault *fault);
/* INSERT … ON CONFLICT … DO UPDATE … WHERE version <= excluded.version: FAULT_CONFLICT when that held it back. */
bool row_save(struct ledger *ledger, const struct sql_text *text, const struct row_fields *fields, const void *row,
              struct fault *fault);
/* A statement that answers nothing; `*changed` may be NULL. */
bool row_run(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, int64_t *changed,
             struct fault *fault);

/* for (start; next; ) visit; end. A walk must not book (ledger_book refuses). */
struct row_walk {
    struct sql_statement *statement;
    struct fault *fault; /* as it was given at the start */
    bool failed;
};
bool row_walk_start(struct row_walk *walk, struct ledger *ledger, const struct sql_text *text,
                    const struct row_key *keys, struct fault *fault);
bool row_walk_next(struct row_walk *walk, const struct row_fields *fields, void *row, struct fault *fault);
bool row_walk_end(struct row_walk *walk); /* false: a step failed, and its fault was set */

#endif
