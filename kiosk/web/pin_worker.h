#ifndef KIOSK_WEB_PIN_WORKER_H
#define KIOSK_WEB_PIN_WORKER_H

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/ledger/writer.h"
#include "kiosk/web/readers.h"
#include "labels/basics/fault.h"

/* One thread that checks and makes PINs, so that no HTTP thread waits for argon2id (libsodium's interactive limits: 64
 * MiB and about a tenth of a second on a slow core), and so that tries are counted one after the other: a wrong one is
 * in the ledger before the next is looked at.
 *
 * Wrong tries are counted for the person (in the ledger: a restart forgets nothing) and for the terminal, a counter's
 * name (in memory); after the third in a row nobody tries for a while (kiosk/rules/pin_throttle.h). The two are apart:
 * whoever guesses at one counter makes no other counter wait, but for the one person whose PIN is guessed, and never
 * longer than 15 minutes. The code of the first storekeeper counts as a person of its own. */

enum { PIN_CODE_SIZE = 10, PIN_WAITING = 16 };

struct pin_worker;
struct waiter;

/* What a request asks for. Memory is wiped when it is freed. */
struct pin_job {
    struct waiter *waiter; /* completed with the job as its result, beside a fault too */
    char terminal[ACT_COUNTER_SIZE];
    char person[SERIAL_SIZE]; /* whose PIN this is; "" with a code, or when nothing is to be checked */
    char pin[PIN_DIGITS + 1];
    char code[PIN_CODE_SIZE];  /* of the terminal, "" none */
    bool makes;                /* a new PIN, once the rest is right */
    char made[PIN_DIGITS + 1]; /* the new PIN and its hash */
    char hash[PIN_HASH_SIZE];
};

struct pin_worker_options {
    struct readers *readers; /* borrowed, all of them */
    struct writer *writer;
    struct clock *clock;
    const char *code; /* "XXXX-XXXX", "" none; copied */
};

bool pin_worker_start(const struct pin_worker_options *options, struct pin_worker **worker, struct fault *fault);
/* Ends after the job in hand; those that wait get FAULT_BUSY. Accepts NULL. Before the writer ends. */
void pin_worker_stop(struct pin_worker *worker);

/* A job on the heap; NULL: no memory. pin_job_free is a waiter_release. */
struct pin_job *pin_job_create(void);
void pin_job_free(void *job);

/* Queues it. Whatever a person can do something about is FAULT_APPROVAL with a sentence: a wrong PIN or code, none
 * issued yet, wait so long. False, FAULT_BUSY: the queue is full, the job stays the caller's. */
bool pin_worker_push(struct pin_worker *worker, struct pin_job *job, struct fault *fault);

/* Is there a code that still counts? Any thread. */
bool pin_worker_has_code(struct pin_worker *worker);
void pin_worker_drop_code(struct pin_worker *worker);

/* The argon2id hash of a PIN, and whether a PIN is that of a hash. Slow: a tenth of a second; never on an HTTP thread.
 * False of the first: no memory (FAULT_BUSY). */
bool pin_hash(const char pin[PIN_DIGITS + 1], char hash[PIN_HASH_SIZE], struct fault *fault);
bool pin_fits(const char pin[PIN_DIGITS + 1], const char hash[PIN_HASH_SIZE]);

#endif
