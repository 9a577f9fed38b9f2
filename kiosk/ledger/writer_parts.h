#ifndef KIOSK_LEDGER_WRITER_PARTS_H
#define KIOSK_LEDGER_WRITER_PARTS_H

#include <pthread.h>

#include "kiosk/basics/queue.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/writer.h"

/* The writer's insides, shared by writer.c (life, queue), writer_group.c (transactions, what to do when one is lost)
 * and writer_act.c (one act in its savepoint). */

enum {
    WRITER_TRIES = 3,                /* of one act whose transaction was lost */
    WRITER_PAUSE_MS = 50,            /* before the second try; each further one waits four times as long */
    WRITER_IDLE_MS = 300,            /* nothing to do for so long: move the write-ahead log into the file */
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
    bool dirty;           /* committed since the last checkpoint */
    pthread_mutex_t lock; /* guards counts; nothing is taken under it */
    struct writer_counts counts;
};

/* Runs one act inside the open transaction. False: the whole transaction is lost, or must be taken for lost; the
 * ticket's fault says why. True: decided; a refused act has left nothing. `alone`: the transaction is this act's only.
 */
bool writer_run_act(struct writer *writer, struct ticket *ticket, const struct moment *now, bool alone);

/* Runs acts in one transaction, and singly when it was lost. All are decided afterwards, and nothing is said before
 * COMMIT returned; the caller calls `done`. */
void writer_run_group(struct writer *writer, struct ticket **tickets, size_t count);

/* Forgets what was decided: the transaction it was decided in is gone. */
void writer_reset_ticket(struct ticket *ticket);

/* Opens the ledger if it is not open. */
bool writer_open_ledger(struct writer *writer, struct fault *fault);

#endif
