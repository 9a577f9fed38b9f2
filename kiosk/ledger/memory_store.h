#ifndef KIOSK_LEDGER_MEMORY_STORE_H
#define KIOSK_LEDGER_MEMORY_STORE_H

#include <stddef.h>

#include "kiosk/ledger/apply.h"

/* The rows that apply keeps, in memory: what verify recomputes the present state in, and what the past of a unit is
 * folded in. Hash tables keyed by text; bounded by memory alone (a unit with its label takes about 1000 bytes). Not
 * thread safe. */

enum memory_table {
    MEMORY_ITEMS,          /* struct item */
    MEMORY_LOTS,           /* struct lot */
    MEMORY_PLACES,         /* struct place */
    MEMORY_MACHINES,       /* struct machine */
    MEMORY_PERSONS,        /* struct person, name always "" */
    MEMORY_UNITS,          /* struct unit */
    MEMORY_UNIT_MIXES,     /* struct unit_mix */
    MEMORY_DELIVERIES,     /* struct delivery */
    MEMORY_JOBS,           /* struct job */
    MEMORY_PRINTS,         /* struct print */
    MEMORY_LABEL_PRINTERS, /* struct label_printer */
    MEMORY_PRINT_LOOKS,    /* struct print_look */
    MEMORY_QUESTIONS,      /* struct question, note always "" */
    MEMORY_STICKERS,       /* struct sticker */
    MEMORY_SUBSTITUTIONS,  /* struct substitution */
    MEMORY_TABLES
};

struct memory_store;

struct memory_store *memory_store_create(void);        /* NULL: no memory */
void memory_store_destroy(struct memory_store *store); /* accepts NULL */

/* The store that apply works on. Faults are FAULT_STORAGE, no memory. Borrows `store`. */
struct apply_store memory_store_apply(struct memory_store *store);

/* The table's word in sentences: "item", "lot", "place", "printer", … */
const char *memory_table_word(enum memory_table table);
size_t memory_store_count(const struct memory_store *store, enum memory_table table);
/* The row's key as a person may read it: "V0001236", "FLINT RS24117B", "V0001236 2" (label 2 of a unit). */
enum { MEMORY_NAME_SIZE = 80 };
const char *memory_row_name(enum memory_table table, const void *row, char name[MEMORY_NAME_SIZE]);

/* The row with the key fields of `like` (a struct of the table's type), NULL when there is none; borrowed until the
 * next save. `*text` (may be NULL) is the digest of a person's name or a question's note, "" for other tables. */
const void *memory_store_find(const struct memory_store *store, enum memory_table table, const void *like,
                              const char **text);
/* In the order in which rows were first saved. `text` as above. The visitor returns false to stop. */
typedef bool memory_visitor(const void *row, const char *text, void *context);
void memory_store_each(const struct memory_store *store, enum memory_table table, memory_visitor *visit, void *context);

#endif
