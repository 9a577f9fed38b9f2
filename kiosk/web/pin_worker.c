#include "kiosk/web/pin_worker.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/basics/id.h"
#include "kiosk/basics/queue.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/rules/pin_throttle.h"
#include "kiosk/web/pin_tries.h"
#include "kiosk/web/waiter.h"

_Static_assert((int)PIN_HASH_SIZE >= (int)crypto_pwhash_STRBYTES && (int)ACT_ASIDE_SIZE >= (int)PIN_HASH_SIZE,
               "a hash fits");

enum { PINS = 1000000 };

struct pin_worker {
    struct pin_worker_options options;
    struct queue *queue;
    struct thread *thread;
    atomic_bool stopping;
    struct pin_tries tries; /* of the worker's thread alone */
    pthread_mutex_t mutex;  /* guards the code */
    char code[PIN_CODE_SIZE];
};

struct pin_job *pin_job_create(void)
{
    return calloc(1, sizeof(struct pin_job));
}

void pin_job_free(void *job)
{
    if (job)
        sodium_memzero(job, sizeof(struct pin_job));
    free(job);
}

bool pin_hash(const char pin[PIN_DIGITS + 1], char hash[PIN_HASH_SIZE], struct fault *fault)
{
    return crypto_pwhash_str(hash, pin, strlen(pin), crypto_pwhash_OPSLIMIT_INTERACTIVE,
                             crypto_pwhash_MEMLIMIT_INTERACTIVE) == 0 ||
           fault_set(fault, FAULT_BUSY, "no memory to make a PIN (64 MB): end other programs and try again");
}

bool pin_fits(const char pin[PIN_DIGITS + 1], const char hash[PIN_HASH_SIZE])
{
    return crypto_pwhash_str_verify(hash, pin, strlen(pin)) == 0;
}

static bool make_pin(struct pin_job *job, struct fault *fault)
{
    (void)snprintf(job->made, sizeof job->made, "%06u", (unsigned)randombytes_uniform(PINS));
    return pin_hash(job->made, job->hash, fault);
}

/* ---- the code of the first storekeeper ---- */

bool pin_worker_has_code(struct pin_worker *worker)
{
    pthread_mutex_lock(&worker->mutex);
    const bool has = worker->code[0] != '\0';
    pthread_mutex_unlock(&worker->mutex);
    return has;
}

void pin_worker_drop_code(struct pin_worker *worker)
{
    pthread_mutex_lock(&worker->mutex);
    sodium_memzero(worker->code, sizeof worker->code);
    pthread_mutex_unlock(&worker->mutex);
}

static bool code_is_right(struct pin_worker *worker, const char code[PIN_CODE_SIZE])
{
    pthread_mutex_lock(&worker->mutex);
    const bool right = worker->code[0] != '\0' && sodium_memcmp(worker->code, code, PIN_CODE_SIZE) == 0;
    pthread_mutex_unlock(&worker->mutex);
    return right;
}

/* ---- counting ---- */

static bool must_wait(int64_t seconds, const char *whose, struct fault *fault)
{
    if (seconds == 0)
        return false;
    const int64_t minutes = (seconds + 59) / 60;
    if (seconds <= 90)
        fault_set(fault, FAULT_APPROVAL, "too many wrong tries %s: wait %d seconds, then try again", whose,
                  (int)seconds);
    else
        fault_set(fault, FAULT_APPROVAL, "too many wrong tries %s: wait %d minutes, then try again", whose,
                  (int)minutes);
    return true;
}

/* In the ledger, before anybody hears of it. */
static bool note_try(struct pin_worker *worker, const char *person, bool right, struct fault *fault)
{
    struct act act = {.kind = "pin-tried", .version = 1, .content = json_pack("{s:s}", "person", person)};
    json_t *answer = NULL;
    id_make(act.id);
    (void)snprintf(act.aside, sizeof act.aside, "%s", right ? "right" : "wrong");
    const bool noted = writer_run(worker->options.writer, &act, &answer, fault);
    json_decref(answer);
    return noted;
}

/* After a wrong one: how many are free, or how long to wait. */
static bool say_wrong(const char *what, int64_t wrong, struct fault *fault)
{
    const int64_t wait = pin_throttle_wait_s(wrong);
    if (wait == 0)
        return fault_set(fault, FAULT_APPROVAL, "that is not the %s: try again", what);
    return fault_set(fault, FAULT_APPROVAL, "that is not the %s: wait %d %s, then try again", what,
                     (int)(wait < 90 ? wait : wait / 60), wait < 90 ? "seconds" : "minutes");
}

/* ---- checking ---- */

static bool load(struct pin_worker *worker, const char *serial, struct person *person, bool *known, struct pin *pin,
                 bool *has, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!readers_take(worker->options.readers, &ledger, fault))
        return false;
    const bool read = person_load(ledger, serial, person, known, fault) && pin_load(ledger, serial, pin, has, fault);
    readers_give(worker->options.readers, ledger, !read);
    return read;
}

static bool check_pin(struct pin_worker *worker, const struct pin_job *job, struct fault *fault)
{
    const struct moment now = clock_now(worker->options.clock);
    struct person person = {.role = ""};
    struct pin pin = {.wrong = 0};
    bool known = false, has = false;
    if (must_wait(pin_tries_left_s(&worker->tries, job->terminal, now.mono_ms), "at this counter", fault) ||
        !load(worker, job->person, &person, &known, &pin, &has, fault))
        return false;
    const char *name = person.name[0] ? person.name : job->person;
    if (!known || strcmp(person.role, "storekeeper") != 0)
        return fault_set(fault, FAULT_APPROVAL, "%s is no storekeeper: a storekeeper approves this with a PIN", name);
    if (!has)
        return fault_set(fault, FAULT_APPROVAL,
                         "%s has no PIN yet: a storekeeper who has one issues it on the page Room; when nobody has "
                         "one, start the kiosk anew and use the code that it writes there",
                         name);
    if (must_wait(pin_throttle_left_s(pin.wrong, now.wall.ms - pin.tried_ms), "with this PIN", fault))
        return false;
    const bool right = pin_fits(job->pin, pin.hash);
    sodium_memzero(&pin.hash, sizeof pin.hash);
    if (right) {
        pin_tries_forget(&worker->tries, job->terminal);
        return pin.wrong == 0 || note_try(worker, job->person, true, fault);
    }
    const int64_t here = pin_tries_add(&worker->tries, job->terminal, now.mono_ms);
    return note_try(worker, job->person, false, fault) &&
           say_wrong("PIN", pin.wrong + 1 > here ? pin.wrong + 1 : here, fault);
}

static bool check_code(struct pin_worker *worker, const struct pin_job *job, struct fault *fault)
{
    const int64_t now_ms = clock_now(worker->options.clock).mono_ms;
    if (must_wait(pin_tries_left_s(&worker->tries, PIN_TRIES_CODE, now_ms), "with the code", fault))
        return false;
    if (!pin_worker_has_code(worker))
        return fault_set(fault, FAULT_APPROVAL,
                         "no code counts now: a storekeeper issues PINs on the page Room, or start the kiosk with "
                         "--enrol for a new code");
    if (code_is_right(worker, job->code)) {
        pin_tries_forget(&worker->tries, PIN_TRIES_CODE);
        return true;
    }
    return say_wrong("code", pin_tries_add(&worker->tries, PIN_TRIES_CODE, now_ms), fault);
}

static void do_job(struct pin_worker *worker, struct pin_job *job)
{
    struct fault fault = {FAULT_NONE, ""};
    bool done = !atomic_load(&worker->stopping) ||
                fault_set(&fault, FAULT_BUSY, "the kiosk is being stopped: try again when it is back");
    if (done && job->code[0] != '\0')
        done = check_code(worker, job, &fault);
    else if (done && job->person[0] != '\0')
        done = check_pin(worker, job, &fault);
    done = done && (!job->makes || make_pin(job, &fault));
    waiter_complete(job->waiter, job, pin_job_free, done ? NULL : &fault);
}

/* ---- life ---- */

static void run(void *context)
{
    struct pin_worker *worker = context;
    void *job;
    while (queue_pop_many(worker->queue, &job, 1, QUEUE_FOR_EVER) > 0)
        do_job(worker, job);
}

static void release(struct pin_worker *worker)
{
    queue_destroy(worker->queue);
    pthread_mutex_destroy(&worker->mutex);
    sodium_memzero(worker, sizeof *worker);
    free(worker);
}

bool pin_worker_start(const struct pin_worker_options *options, struct pin_worker **worker, struct fault *fault)
{
    struct pin_worker *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for the checking of PINs");
    made->options = *options;
    (void)snprintf(made->code, sizeof made->code, "%s", options->code ? options->code : "");
    made->options.code = NULL;
    pthread_mutex_init(&made->mutex, NULL);
    made->queue = queue_create(PIN_WAITING);
    if (!made->queue)
        fault_set(fault, FAULT_STORAGE, "no memory for the checking of PINs");
    if (!made->queue || sodium_init() < 0 || !thread_start("pins", run, made, &made->thread, fault)) {
        release(made);
        return false;
    }
    *worker = made;
    return true;
}

void pin_worker_stop(struct pin_worker *worker)
{
    if (!worker)
        return;
    atomic_store(&worker->stopping, true);
    queue_close(worker->queue);
    thread_join(worker->thread);
    release(worker);
}

bool pin_worker_push(struct pin_worker *worker, struct pin_job *job, struct fault *fault)
{
    return queue_push(worker->queue, job) ||
           fault_set(fault, FAULT_BUSY, "%d PINs wait already: try again in a moment", PIN_WAITING);
}
