#ifndef KIOSK_LEDGER_WRITER_PARTS_H
#define KIOSK_LEDGER_WRITER_PARTS_H

#include <pthread.h>

#include "kiosk/basics/queue.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/writer.h"

/* The writer's insides, shared by writer.c (life, queue), writer_group.c (transactions, what to do when one is lost)
 * and writer_act.c (one act). */

enum {
    WRITER_TRIES = 3,                /* of one act whose transaction was lost */
    WRITER_PAUSE_MS = 50,            /* before the second try; each further one waits four times as long */
    WRITER_IDLE_MS = 300,            /* nothing to do for so long: move the write-ahead log into the file */
    WRITER_HELD_MS = 2000,           /* and what a reader held back, so long after */
    WRITER_BACK_MS = 60 * 1000,      /* a wall clock that goes back further was set by somebody: not trusted */
    WRITER_AHEAD_MS = 5 * 60 * 1000, /* an act may say it happened so far in the future: clocks differ */
    ACT_CONTENT_SIZE = 262144
};

/* One queued act and what became of it. Owned by the queue, then by the writer thread until `done` was called. */
struct ticket {
    struct act act; /* content owned */
    const struct act_kind *kind;
    uint8_t digest[HASH_BYTES];
    act_done *done;
    void *context;

    bool decided;    /* what follows is what will be said once the group is committed */
    bool stored;     /* booked by the transaction that is open, or whose COMMIT is unknown */
    bool maybe_ours; /* a COMMIT that held it was not answered: if its id is found, it was us and no repeat */
    bool repeated;
    json_t *answer; /* owned; NULL: fault */
    int64_t last_seq;
    struct fault fault;
};

struct writer {
    struct writer_options options; /* strings owned by `address` and `kiosk` below */
    char *address, *kiosk;
    struct ledger *ledger; /* the writer thread's; NULL while the database cannot be reached */
    struct queue *queue;
    struct thread *thread;
    int64_t last_wall_ms; /* of the last movement, then of the last group: a clock that goes back is seen by it */
    bool dirty;           /* committed since the last checkpoint */
    bool refused_late;    /* an act was refused after it had written, with no savepoint to go back to */
    bool held;            /* the last checkpoint left something: a reader stood in the way */
    int64_t log_told;     /* bytes of the log at the last warning; 0: none */
    pthread_mutex_t lock; /* guards all below; what `told` takes is taken under it, nothing else */
    struct writer_counts counts;
    struct opening opening;
    struct writer_log log;
    bool is_shut;
    char shut_sentence[FAULT_TEXT_SIZE];
    void (*told)(void *context);
    void *told_context;
};

/* What becomes of what an act wrote before it was refused. */
enum writer_bracket {
    BRACKET_ALONE,    /* the transaction is this act's only: it is rolled back with all there is */
    BRACKET_NONE,     /* the group is lost, and is run again with savepoints. An act is refused before it writes, as a
                       * rule, and a savepoint costs a copy of each page that it touches */
    BRACKET_SAVEPOINT /* it is rolled back to there */
};

/* Runs one act inside the open transaction. False: the whole transaction is lost, or must be taken for lost; the
 * ticket's fault says why. True: decided; a refused act has left nothing. */
bool writer_run_act(struct writer *writer, struct ticket *ticket, const struct moment *now,
                    enum writer_bracket bracket);

/* Runs acts in one transaction, and singly when it was lost. All are decided afterwards, and nothing is said before
 * COMMIT returned; the caller calls `done`. */
void writer_run_group(struct writer *writer, struct ticket **tickets, size_t count);

/* Forgets what was decided: the transaction it was decided in is gone. */
void writer_reset_ticket(struct ticket *ticket);

/* The state of the log after a group or checkpoint: warns, and asks readers to give way (writer_shut.c). */
void writer_look_at_log(struct writer *writer);

/* Opens the ledger if it is not open. */
bool writer_open_ledger(struct writer *writer, struct fault *fault);

#endif
