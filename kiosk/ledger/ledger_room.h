#ifndef KIOSK_LEDGER_LEDGER_ROOM_H
#define KIOSK_LEDGER_LEDGER_ROOM_H

#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/ledger.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/sql/sql.h"
#include "kiosk/ledger/unit.h"

/* What the ledger's own room needs beyond ledger.h: the writer looks at what went wrong, import books movements as they
 * were, verify and export walk whole tables. Nobody above the room includes this. */

struct sql *ledger_sql(struct ledger *ledger); /* borrowed */
/* Borrowed; NULL for a reader and outside a transaction. */
struct row_memory *ledger_row_memory(struct ledger *ledger);

/* Of the last call that failed. */
enum sql_trouble ledger_trouble(const struct ledger *ledger);
/* False after a failure: the engine has rolled back the whole transaction, not only the savepoint. */
bool ledger_in_transaction(const struct ledger *ledger);

/* Rows inserted, changed and deleted so far; below 0 when the engine does not count (PostgreSQL). */
int64_t ledger_rows_written(const struct ledger *ledger);

/* A sentence on damage says in which ledger: puts the name before one that does not. */
void ledger_name_damage(const struct ledger *ledger, struct fault *fault);

/* Writer only, outside transactions. SQLite: a PASSIVE checkpoint when `idle` or when the write-ahead log is over
 * LEDGER_LOG_BYTES; else nothing, as on PostgreSQL. When idle, a log whose file is longer than that, or that may still
 * hold an erased text, is emptied (TRUNCATE) as soon as nobody reads. (ledger_close does a last one, TRUNCATE.) */
enum { LEDGER_LOG_BYTES = 16 * 1024 * 1024, LEDGER_LOG_LONG = 4 * LEDGER_LOG_BYTES };
bool ledger_checkpoint(struct ledger *ledger, bool idle, struct fault *fault);
/* Something is left for the next idle checkpoint: a reader stood in the way. */
bool ledger_checkpoint_is_due(const struct ledger *ledger);
/* An erasable text was erased in the open transaction: its bytes are to leave the log as well. */
void ledger_text_was_erased(struct ledger *ledger);

/* Import: books a movement that carries its number, who, when and hash already. FAULT_INPUT when the number is not the
 * next or the hash is not what the chain gives; then nothing was written. Also keeps ledger_next_serial from handing
 * out a serial that the movement uses. */
bool ledger_book_as_is(struct ledger *ledger, const struct movement *movement, struct fault *fault);
/* After a restore, in a transaction: no letter's next serial comes before that of `other` (may be NULL), and `margin`
 * numbers more are left out: labels may be in the room that this ledger does not remember. */
bool ledger_serial_skip(struct ledger *ledger, struct ledger *other, int64_t margin, struct fault *fault);
/* Import: an erasable text with its salt; FAULT_INPUT when `id` is not the digest of both. An erased one has only its
 * id: with the salt somebody could try names until the digest fits. */
enum { TEXT_SALT_BYTES = 16, TEXT_VALUE_SIZE = 1001 };
struct text_row {
    char id[TEXT_ID_SIZE];
    uint8_t salt[TEXT_SALT_BYTES]; /* zeros when erased */
    bool erased;
    char value[TEXT_VALUE_SIZE];
};
bool ledger_text_put_as_is(struct ledger *ledger, const struct text_row *row, struct fault *fault);

/* Whole tables in order of key, everything included (void units, closed deliveries, settled questions); names and
 * notes are not joined in where the second argument of the visitor is the text's id. The visitor returns false to
 * stop; it may read, not book. */
typedef bool text_visitor(const struct text_row *row, void *context);
/* Erased ones are there too. */
bool ledger_text_exists(struct ledger *ledger, const char *id, bool *exists, struct fault *fault);
bool ledger_text_each(struct ledger *ledger, text_visitor *visit, void *context, struct fault *fault);
typedef bool lot_visitor(const struct lot *row, void *context);
bool lot_each(struct ledger *ledger, lot_visitor *visit, void *context, struct fault *fault);
typedef bool person_row_visitor(const struct person *row, const char *text, void *context);
bool person_each_row(struct ledger *ledger, person_row_visitor *visit, void *context, struct fault *fault);
bool unit_each_row(struct ledger *ledger, unit_visitor *visit, void *context, struct fault *fault);
bool delivery_each(struct ledger *ledger, delivery_visitor *visit, void *context, struct fault *fault);
bool job_each(struct ledger *ledger, job_visitor *visit, void *context, struct fault *fault);
bool print_each(struct ledger *ledger, print_visitor *visit, void *context, struct fault *fault);
bool print_look_each(struct ledger *ledger, print_look_visitor *visit, void *context, struct fault *fault);
typedef bool question_row_visitor(const struct question *row, const char *text, void *context);
bool question_each_row(struct ledger *ledger, question_row_visitor *visit, void *context, struct fault *fault);
/* Forgotten ones too. */
bool sticker_each_row(struct ledger *ledger, sticker_visitor *visit, void *context, struct fault *fault);
typedef bool act_row_visitor(const struct act_row *row, const char *answer, void *context);
bool act_row_each(struct ledger *ledger, act_row_visitor *visit, void *context, struct fault *fault);

#endif
