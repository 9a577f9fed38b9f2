#ifndef KIOSK_LEDGER_VERIFY_ROWS_H
#define KIOSK_LEDGER_VERIFY_ROWS_H

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/memory_store.h"

/* The second half of verify: what the movements make, row by row and field by field, against what the tables hold. */

struct verify_rows {
    int64_t compared, different;
    char first[FAULT_TEXT_SIZE]; /* a sentence on the first difference, "" when there is none */
};

/* Compares every row of every table both ways. True: `*rows` is filled; false: it could not look. */
bool verify_rows(struct ledger *ledger, const struct memory_store *memory, struct verify_rows *rows,
                 struct fault *fault);

/* ledger_verify on a ledger that is open, in its open transaction. */
bool verify_open_ledger(struct ledger *ledger, struct verify_report *report, bool *clean, struct fault *fault);
/* Its part on names and notes: each digest recomputed; counts into `report`, which says the first that is wrong. */
bool verify_texts(struct ledger *ledger, struct verify_report *report, struct fault *fault);

/* The first field in which two rows of a table differ, NULL when they are the same; names are left out (they live in
 * the erasable table). The two values as text for a sentence. */
enum { VERIFY_VALUE_SIZE = 70 };
const char *verify_row_differs(enum memory_table table, const void *stored, const void *made,
                               char stored_text[VERIFY_VALUE_SIZE], char made_text[VERIFY_VALUE_SIZE]);

#endif
