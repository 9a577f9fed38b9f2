#ifndef KIOSK_LEDGER_LEDGER_H
#define KIOSK_LEDGER_LEDGER_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/movement.h"
#include "labels/basics/fault.h"

/* One connection to the ledger: what happened (movements) and what is where (the rows that apply keeps). Not thread
 * safe: the writer has one, each reader its own. Address: a path or "sqlite:PATH" (embedded), "postgresql:CONNINFO"
 * or a "postgresql://…" URI (several kiosks). */

enum ledger_mode {
    LEDGER_WRITER, /* creates and migrates the schema; takes the one writer's lock of a SQLite file: a second daemon
                      gets FAULT_BUSY with a sentence */
    LEDGER_READER  /* read-only; may exist many times */
};

struct ledger;

bool ledger_open(const char *address, enum ledger_mode mode, struct ledger **ledger, struct fault *fault);
/* Can several kiosks work on the ledger of this address? A SQLite file has one at a time. */
bool ledger_is_shared(const char *address);
void ledger_close(struct ledger *ledger); /* accepts NULL; rolls back what is open */

/* Transactions. The writer thread brackets a group by begin/commit and each act by savepoint/release or rollback.
 * Readers bracket what must be seen together. */
bool ledger_begin(struct ledger *ledger, struct fault *fault); /* a writer's takes the head row first */
bool ledger_commit(struct ledger *ledger, struct fault *fault);
void ledger_rollback(struct ledger *ledger);
bool ledger_savepoint(struct ledger *ledger, struct fault *fault);
bool ledger_release(struct ledger *ledger, struct fault *fault);
void ledger_rollback_to(struct ledger *ledger); /* back to the savepoint; head numbers too */

/* Who, when, where: copied into every movement that follows. */
struct booking {
    char act[ACT_ID_SIZE];
    char kiosk[KIOSK_SIZE];
    char person[SERIAL_SIZE];
    struct moment moment;
};
void ledger_set_booking(struct ledger *ledger, const struct booking *booking);

/* Gives `movement` its number, who/when/where and hash, appends it and applies it to the present state, inside the
 * open transaction. The only way anything changes. FAULT_REFUSED: apply says it cannot be (an unknown unit …); then
 * nothing was written and `movement` is untouched. Never from inside a visitor of ledger_each, unit_each and the like
 * (refused): collect first, then book. */
bool ledger_book(struct ledger *ledger, struct movement *movement, struct fault *fault);

/* The head: last number and hash. A reader sees what is committed. */
bool ledger_head(struct ledger *ledger, int64_t *seq, uint8_t hash[HASH_BYTES], struct fault *fault);

/* Reads movements in order of number. The visitor returns false to stop. */
typedef bool ledger_visitor(const struct movement *movement, void *context);
bool ledger_each(struct ledger *ledger, int64_t after_seq, int64_t limit, ledger_visitor *visit, void *context,
                 struct fault *fault);
bool ledger_each_of_unit(struct ledger *ledger, const char *serial, int64_t after_seq, ledger_visitor *visit,
                         void *context, struct fault *fault);
/* The newest of this kind; of a thing whose label was lost, under its earlier serials too. */
bool ledger_last_of_unit(struct ledger *ledger, const char *serial, enum movement_kind kind, struct movement *movement,
                         bool *found, struct fault *fault);
/* Of an act that is stored (act_row.h), or of the one under way since the last savepoint. */
bool ledger_each_of_act(struct ledger *ledger, const char *act, ledger_visitor *visit, void *context,
                        struct fault *fault);

/* Erasable text (names, notes): stores `value` under a fresh salt and gives the digest for movement.text. */
bool ledger_text_put(struct ledger *ledger, const char *value, char id[TEXT_ID_SIZE], struct fault *fault);
/* "" when erased or id is ""; cut at a character's end when longer than `size` allows. */
bool ledger_text_get(struct ledger *ledger, const char *id, char *value, size_t size, struct fault *fault);
/* Forgets value and salt for ever; the digest stays in the movements and says nothing any more. In a transaction. */
bool ledger_text_erase(struct ledger *ledger, const char *id, struct fault *fault);

/* The next free number of a serial letter, skipping check characters I and O; demo ledgers count from
 * DEMO_NUMBER_FIRST. A number once handed out inside a transaction that commits is never handed out again. */
bool ledger_next_serial(struct ledger *ledger, char letter, char serial[SERIAL_SIZE], struct fault *fault);

/* A ledger is a demo's from its first start and for ever. */
bool ledger_set_demo(struct ledger *ledger, struct fault *fault); /* only while empty */
bool ledger_is_demo(struct ledger *ledger);

#endif
