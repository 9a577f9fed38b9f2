#ifndef KIOSK_LEDGER_FILE_CHECK_H
#define KIOSK_LEDGER_FILE_CHECK_H

#include "kiosk/ledger/ledger.h"

/* Checks the whole of a ledger on a read-only connection: every page, every index entry, every movement's hash, every
 * row. On PostgreSQL the file is the server's own affair: chain and texts alone.
 *
 * Two ways, by size. Up to FILE_CHECK_WHOLE bytes: SQLite's integrity_check and our verify, each in one read
 * transaction. Larger: nothing that holds one read transaction for long, since the write-ahead log cannot shrink under
 * it; the chain a thousand movements at a time, every table and every index walked and counted, a table at a time.
 * Not seen then: a row that contradicts its movements, an index entry with a wrong key. `verify` sees both.
 *
 * Each step begins anew when the log grows long meanwhile (file_check_give_way), a few times; then the rest is left
 * unchecked, and the report says so. */

enum { FILE_CHECK_WHOLE = 512 * 1024 * 1024, FILE_CHECK_SMALL = 12 * 1024 * 1024 };

enum file_check_state {
    FILE_CHECK_GOOD,
    FILE_CHECK_PART,  /* good as far as it was checked */
    FILE_CHECK_INDEX, /* an index, or pages in no use, are damaged; movements and rows are whole */
    FILE_CHECK_DAMAGED
};

struct file_check_report {
    enum file_check_state state;
    int64_t movements;
    char sentence[FAULT_TEXT_SIZE]; /* what was checked; or what is damaged, in which file, and what to do */
};

struct file_check;

struct file_check *file_check_create(const char *address); /* NULL: no memory */
/* Up to how many bytes the file is checked at once; FILE_CHECK_WHOLE unless said. Before run. */
void file_check_limit(struct file_check *check, int64_t whole_bytes);
/* Runs to the end. False: it could not look (FAULT_BUSY: stopped). Low priority is the caller's affair. */
bool file_check_run(struct file_check *check, struct file_check_report *report, struct fault *fault);
/* From any other thread, again and again until run has returned: a statement that begins just now misses the first. */
void file_check_stop(struct file_check *check);
/* From any other thread: the write-ahead log is long, let it go. Does not wait. */
void file_check_give_way(struct file_check *check);
void file_check_destroy(struct file_check *check); /* accepts NULL; after run has returned */

#endif
