#ifndef KIOSK_LEDGER_ROW_MEMORY_H
#define KIOSK_LEDGER_ROW_MEMORY_H

#include "kiosk/ledger/row.h"

/* Rows that the writer has read and that are still what the ledger holds: an act asks for the same unit four times, and
 * every act for the same few items and printers. Whoever saves a row drops it here, whoever rolls back drops all, and
 * a group begins by dropping all unless nobody else has written since the last one. One thread. Inside kiosk/ledger. */

struct row_memory;

struct row_memory *row_memory_create(void); /* NULL: no memory, and the ledger works without */
void row_memory_destroy(struct row_memory *memory);

/* `fields->kept` is the statement whose rows are kept, found by one text. False: not kept. */
bool row_memory_get(const struct row_memory *memory, const struct row_fields *fields, const char *key, void *row,
                    size_t size);
void row_memory_put(struct row_memory *memory, const struct row_fields *fields, const char *key, const void *row,
                    size_t size);
void row_memory_drop(struct row_memory *memory, const struct row_fields *fields, const char *key);
void row_memory_drop_all(struct row_memory *memory); /* accepts NULL, as does destroy */

#endif
