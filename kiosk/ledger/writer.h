#ifndef KIOSK_LEDGER_WRITER_H
#define KIOSK_LEDGER_WRITER_H

#include <jansson.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/ledger.h"
#include "kiosk/ledger/opening.h"

/* The one thread that changes the ledger. An act is a function run there, in a savepoint; acts that wait share one
 * durable commit, at most WRITER_GROUP a group. Nothing is answered or published before COMMIT returned. A repeat of
 * an act id gets the stored answer (true, `repeated`); the same id with other content is FAULT_CONFLICT. */

enum { WRITER_GROUP = 64, WRITER_QUEUE = 1024, ACT_KIND_SIZE = 25, ACT_COUNTER_SIZE = 17, ACT_ASIDE_SIZE = 128 };

struct act {
    char id[ACT_ID_SIZE];           /* made by the caller: repeat it and nothing happens twice */
    char kind[ACT_KIND_SIZE];       /* "scan", "receive", … */
    int version;                    /* of the content's form, 1 */
    char counter[ACT_COUNTER_SIZE]; /* which counter's session, "" = none */
    char person[SERIAL_SIZE];       /* who, "" = whoever is signed in at the counter */
    struct instant happened_at;     /* ms 0: now */
    json_t *content;                /* object; the writer owns it from writer_submit on */
    /* The three below come from this program's own threads alone, never from a client's text; they are not part of what
     * makes a repeat the same act. */
    char approver[SERIAL_SIZE]; /* the storekeeper whose PIN was right just now, "" = nobody approved */
    char device[WORD_SIZE];     /* which device speaks for itself (devices.h), "" none */
    char aside[ACT_ASIDE_SIZE]; /* what must be in no digest, answer or log: the hash of a new PIN; "" */
};

struct act_context {
    struct ledger *ledger; /* the writer's, inside the act's savepoint */
    const struct act *act;
    struct moment moment;
    const char *kiosk;
    void *desk; /* whatever the table's owner handed to writer_create */
    bool final; /* set by the act: there is nothing in it that UNDO could take back */
};

/* Does the act: reads the present state, asks the rule, books. Fills `*answer` (a new object). False: `fault`; all
 * that was booked is rolled back, and nothing is remembered of the act. Must be deterministic given state and
 * content, for the group may be run again. */
typedef bool act_function(struct act_context *context, json_t **answer, struct fault *fault);

struct act_kind {
    const char *kind;
    act_function *function;
};

/* Called on the writer thread after COMMIT (or refusal): exactly once for each submitted act. `*answer` is
 * borrowed for the call, or taken by setting it to NULL (two threads must not share it: jansson's counts are not for
 * that); it is NULL when `fault` says why. Must not block. */
typedef void act_done(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                      const struct fault *fault);

struct writer;

struct writer_options {
    const char *address;          /* as ledger_open */
    const struct act_kind *kinds; /* ends with kind NULL; borrowed for the writer's life */
    void *desk;
    struct clock *clock; /* borrowed */
    struct feed *feed;   /* borrowed; told of each commit */
    const char *kiosk;   /* this kiosk's name */
    bool demo;
};

/* Opens the ledger (schema made or checked, lock taken), checks what a start checks (opening.h), and starts the thread.
 * A damaged ledger is no failure: the writer is there, shut, so that the page can say so. */
bool writer_create(const struct writer_options *options, struct writer **writer, struct fault *fault);
/* Finishes what is queued, checkpoints, joins the thread. Accepts NULL. */
void writer_destroy(struct writer *writer);

/* Queues an act; never blocks. False (and the caller keeps nothing: `done` is not called, content is released) when
 * the queue is full (FAULT_BUSY) or the act is malformed (FAULT_INPUT). */
bool writer_submit(struct writer *writer, const struct act *act, act_done *done, void *context, struct fault *fault);
/* Queues and waits: for threads that may wait (printer, tests, start-up), never for HTTP. `*answer` is the caller's. */
bool writer_run(struct writer *writer, const struct act *act, json_t **answer, struct fault *fault);

/* The ledger is damaged: from now on every act is refused with FAULT_DAMAGED and `sentence` (the first one stays),
 * those that wait too, and the passing event "ledger" {} says that there is news. The writer does it by itself when a
 * statement meets damage. Any thread, but not from a feed's wake. */
void writer_shut(struct writer *writer, const char *sentence);
bool writer_is_shut(struct writer *writer, char sentence[FAULT_TEXT_SIZE]); /* `sentence` may be NULL */

/* What the start found. */
void writer_read_opening(struct writer *writer, struct opening *opening);

/* The write-ahead log, as it was after the last group or checkpoint. */
struct writer_log {
    int64_t bytes;                  /* that could not be moved into the file yet; 0 on PostgreSQL */
    char sentence[FAULT_TEXT_SIZE]; /* when they are many: who reads, and what to do; "" */
};
void writer_read_log(struct writer *writer, struct writer_log *log);
/* `told` is called on the writer thread, under its lock, while the log is long: whoever reads long here gives way. It
 * must not wait, nor call the writer. NULL: nobody. When this has returned, the one before is not called any more. */
void writer_watch_log(struct writer *writer, void (*told)(void *context), void *context);

struct writer_counts {
    uint64_t acts, refused, repeated, groups, commits_failed;
};
void writer_read_counts(struct writer *writer, struct writer_counts *counts);

#endif
