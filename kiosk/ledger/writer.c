#include "kiosk/ledger/writer.h"

#include <semaphore.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/basics/log.h"
#include "kiosk/ledger/json_memory.h"
#include "kiosk/ledger/writer_parts.h"

/* ---- taking an act in (any thread) ---- */

static bool is_id(const char *text, size_t least, size_t most)
{
    const size_t length = strnlen(text, most + 1);
    if (length < least || length > most)
        return false;
    for (size_t i = 0; i < length; i++) {
        const char c = text[i];
        if (!(c == '-' || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z')))
            return false;
    }
    return true;
}

static const struct act_kind *kind_find(const struct act_kind *kinds, const char *kind)
{
    while (kinds->kind && strcmp(kinds->kind, kind) != 0)
        kinds++;
    return kinds->kind ? kinds : NULL;
}

static bool is_person(const char *serial)
{
    char letter = '\0';
    long number = 0;
    return strnlen(serial, SERIAL_SIZE) < SERIAL_SIZE && serial_read(span_of(serial), &letter, &number, NULL) &&
           letter == 'H';
}

static bool check_act(const struct act *act, struct fault *fault)
{
    if (!is_id(act->id, 8, ACT_ID_SIZE - 1))
        return fault_set(fault, FAULT_INPUT, "an act's id is 8 to %d letters, digits and hyphens: make a new one",
                         ACT_ID_SIZE - 1);
    if (!is_id(act->kind, 1, ACT_KIND_SIZE - 1))
        return fault_set(fault, FAULT_INPUT, "act '%s' has no kind: see the list of acts", act->id);
    if (act->version != 1)
        return fault_set(fault, FAULT_INPUT, "act '%s' is of version %d, this kiosk knows version 1", act->id,
                         act->version);
    if (act->counter[0] && !is_id(act->counter, 1, ACT_COUNTER_SIZE - 1))
        return fault_set(fault, FAULT_INPUT, "act '%s': a counter's name is 1 to %d letters, digits and hyphens",
                         act->id, ACT_COUNTER_SIZE - 1);
    if (act->person[0] && !is_person(act->person))
        return fault_set(fault, FAULT_INPUT, "act '%s': the person is not a badge's serial: scan the badge", act->id);
    if (act->happened_at.ms < 0)
        return fault_set(fault, FAULT_INPUT, "act '%s' says it happened before 1970: set the sender's clock", act->id);
    return json_is_object(act->content) ||
           fault_set(fault, FAULT_INPUT, "act '%s' has no content: it must be a JSON object", act->id);
}

/* SHA-256 over what makes an act this act and no other; when it happened is not part, a repeat may say it anew. */
static bool digest_act(const struct act *act, uint8_t digest[HASH_BYTES], struct fault *fault)
{
    char *content = json_memory_dumps(act->content, JSON_SORT_KEYS | JSON_COMPACT), head[128];
    if (!content)
        return fault_set(fault, FAULT_BUSY, "no memory for act '%s': try again", act->id);
    const size_t length = strlen(content);
    struct builder builder;
    builder_init(&builder, head, sizeof head);
    builder_addf(&builder, "%s\x1f%d\x1f%s\x1f%s\x1f", act->kind, act->version, act->counter, act->person);
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, (const uint8_t *)head, builder.length);
    crypto_hash_sha256_update(&state, (const uint8_t *)content, length);
    crypto_hash_sha256_final(&state, digest);
    free(content);
    return length < ACT_CONTENT_SIZE || fault_set(fault, FAULT_INPUT, "act '%s' has %zu bytes, %d are allowed", act->id,
                                                  length, ACT_CONTENT_SIZE - 1);
}

static void destroy_ticket(struct ticket *ticket)
{
    if (!ticket)
        return;
    json_decref(ticket->act.content);
    json_decref(ticket->answer);
    free(ticket);
}

bool writer_submit(struct writer *writer, const struct act *act, act_done *done, void *context, struct fault *fault)
{
    struct ticket *ticket = calloc(1, sizeof *ticket);
    if (!ticket) {
        json_decref(act->content);
        return fault_set(fault, FAULT_BUSY, "no memory for another act: try again");
    }
    ticket->act = *act; /* content is the ticket's from here on */
    ticket->done = done;
    ticket->context = context;
    char why[FAULT_TEXT_SIZE];
    bool ok = check_act(act, fault) && digest_act(act, ticket->digest, fault);
    if (ok && writer_is_shut(writer, why))
        ok = fault_set(fault, FAULT_DAMAGED, "%s", why);
    if (ok) {
        ticket->kind = kind_find(writer->options.kinds, act->kind);
        ok = ticket->kind ||
             fault_set(fault, FAULT_INPUT, "act kind '%s' is not known: see the list of acts", act->kind);
    }
    if (ok && !queue_push(writer->queue, ticket))
        ok = fault_set(fault, FAULT_BUSY, "%d acts are waiting already or the kiosk is stopping: try again in a moment",
                       WRITER_QUEUE);
    if (!ok)
        destroy_ticket(ticket);
    return ok;
}

/* ---- the thread ---- */

static void count(struct writer *writer, const struct ticket *ticket)
{
    pthread_mutex_lock(&writer->lock);
    writer->counts.acts++;
    writer->counts.refused += ticket->answer == NULL;
    writer->counts.repeated += ticket->repeated;
    pthread_mutex_unlock(&writer->lock);
}

/* Followers first: whoever is told "done" may look at once. */
static void tell(struct writer *writer, struct ticket **tickets, size_t many)
{
    int64_t last_seq = 0;
    for (size_t i = 0; i < many; i++)
        if (tickets[i]->answer && tickets[i]->last_seq > last_seq)
            last_seq = tickets[i]->last_seq;
    if (last_seq > 0)
        feed_publish(writer->options.feed, last_seq);
    for (size_t i = 0; i < many; i++) {
        struct ticket *ticket = tickets[i];
        count(writer, ticket);
        ticket->done(ticket->context, ticket->act.id, &ticket->answer, ticket->last_seq, ticket->repeated,
                     &ticket->fault);
        destroy_ticket(ticket);
    }
}

static void checkpoint(struct writer *writer, bool idle)
{
    struct fault fault = {FAULT_NONE, ""};
    if (writer->ledger && !ledger_checkpoint(writer->ledger, idle, &fault))
        log_line(LOG_LEVEL_WARNING, "writer", "checkpoint: %s", fault.text);
    writer->held = writer->ledger && ledger_checkpoint_is_due(writer->ledger);
    writer_look_at_log(writer);
}

/* Answers whose time is over, a few at a time. True: there may be more. An untrusted clock forgets nothing. */
static bool forget_answers(struct writer *writer)
{
    const struct moment now = clock_now(writer->options.clock);
    int64_t forgotten = 0;
    struct fault fault = {FAULT_NONE, ""};
    if (!now.trusted || !writer->ledger)
        return false;
    if (!ledger_begin(writer->ledger, &fault) ||
        !act_row_forget_answers(writer->ledger, now.wall.ms, ACT_ANSWERS_KEPT, &forgotten, &fault) ||
        (forgotten > 0 && !ledger_commit(writer->ledger, &fault))) {
        log_line(LOG_LEVEL_WARNING, "writer", "old answers stay for now: %s", fault.text);
        forgotten = 0;
    }
    ledger_rollback(writer->ledger);
    return forgotten == ACT_ANSWERS_AT_ONCE;
}

static void be_idle(struct writer *writer)
{
    const bool more = forget_answers(writer);
    checkpoint(writer, true);
    writer->dirty = more;
}

static int64_t idle_ms(const struct writer *writer)
{
    return writer->dirty ? WRITER_IDLE_MS : writer->held ? WRITER_HELD_MS : QUEUE_FOR_EVER;
}

static void run(void *context)
{
    struct writer *writer = context;
    void *items[WRITER_GROUP];
    struct ticket *tickets[WRITER_GROUP];
    for (;;) {
        const size_t many = queue_pop_many(writer->queue, items, WRITER_GROUP, idle_ms(writer));
        if (many == 0 && queue_is_closed(writer->queue) && queue_length(writer->queue) == 0)
            return;
        if (many == 0) {
            be_idle(writer);
            continue;
        }
        for (size_t i = 0; i < many; i++)
            tickets[i] = items[i];
        writer_run_group(writer, tickets, many);
        tell(writer, tickets, many);
        checkpoint(writer, false);
    }
}

/* ---- start ---- */

/* A damaged ledger is no reason not to start: the page must be able to say so. */
static bool start_shut(struct writer *writer, const struct fault *fault)
{
    if (fault->code != FAULT_DAMAGED)
        return false;
    writer_shut(writer, fault->text);
    return true;
}

static bool check_demo(struct writer *writer, int64_t last_seq, struct fault *fault)
{
    const bool is_demo = ledger_is_demo(writer->ledger);
    if (is_demo == writer->options.demo)
        return true;
    if (is_demo)
        return fault_set(fault, FAULT_REFUSED,
                         "this is the demo's ledger: start with --demo, or name another ledger in the configuration");
    if (last_seq > 0)
        return fault_set(fault, FAULT_REFUSED,
                         "this ledger holds a real room's %lld movements: start without --demo, or name another ledger",
                         (long long)last_seq);
    if (!ledger_begin(writer->ledger, fault))
        return false;
    if (ledger_set_demo(writer->ledger, fault) && ledger_commit(writer->ledger, fault))
        return true;
    ledger_rollback(writer->ledger);
    return false;
}

static bool keep_instant(const struct movement *movement, void *context)
{
    *(struct instant *)context = movement->at;
    return true;
}

/* A wall clock that stands before what was booked already is wrong, whoever set it. */
static bool check_clock(struct writer *writer, int64_t last_seq, struct fault *fault)
{
    struct instant last = {0};
    char text[CALENDAR_INSTANT_SIZE], now_text[CALENDAR_INSTANT_SIZE];
    if (last_seq < 1)
        return true;
    if (!ledger_each(writer->ledger, last_seq - 1, 1, keep_instant, &last, fault))
        return false;
    const struct moment now = clock_now(writer->options.clock);
    writer->last_wall_ms = now.wall.ms;
    if (now.wall.ms >= last.ms)
        return true;
    clock_distrust(writer->options.clock);
    log_line(
        LOG_LEVEL_WARNING, "writer",
        "the clock says %s, but the last movement was booked at %s: set the clock, or let a storekeeper confirm it",
        calendar_write_instant(now.wall, now_text), calendar_write_instant(last, text));
    return true;
}

static bool look(struct writer *writer, int64_t *last_seq, struct fault *fault)
{
    uint8_t hash[HASH_BYTES];
    if (!writer_open_ledger(writer, fault))
        return false;
    opening_look(writer->ledger, &writer->opening);
    return opening_check(writer->ledger, &writer->opening, fault) &&
           ledger_head(writer->ledger, last_seq, hash, fault) && check_demo(writer, *last_seq, fault) &&
           check_clock(writer, *last_seq, fault);
}

/* What a disk failed to read once looks like damage: only what is seen twice is. */
static bool look_again(struct writer *writer, int64_t *last_seq, struct fault *fault)
{
    if (fault->code != FAULT_DAMAGED)
        return false;
    ledger_close(writer->ledger);
    writer->ledger = NULL;
    *fault = (struct fault){FAULT_NONE, ""};
    return look(writer, last_seq, fault);
}

static bool start(struct writer *writer, struct fault *fault)
{
    struct fault trouble = {FAULT_NONE, ""};
    int64_t last_seq = 0;
    if (!look(writer, &last_seq, &trouble) && !look_again(writer, &last_seq, &trouble) && !start_shut(writer, &trouble))
        return fault_set(fault, trouble.code, "%s", trouble.text);
    feed_publish(writer->options.feed, last_seq);
    return thread_start("writer", run, writer, &writer->thread, fault);
}

static void destroy(struct writer *writer)
{
    ledger_close(writer->ledger);
    queue_destroy(writer->queue);
    pthread_mutex_destroy(&writer->lock);
    free(writer->address);
    free(writer->kiosk);
    free(writer);
}

bool writer_create(const struct writer_options *options, struct writer **writer, struct fault *fault)
{
    if (!is_id(options->kiosk, 1, KIOSK_SIZE - 1))
        return fault_set(fault, FAULT_INPUT, "kiosk name '%s' is not 1 to %d letters, digits and hyphens",
                         options->kiosk, KIOSK_SIZE - 1);
    if (sodium_init() < 0)
        return fault_set(fault, FAULT_STORAGE, "libsodium could not start: this machine gives no random bytes");
    json_memory_keep();
    struct writer *made = calloc(1, sizeof *made);
    if (!made || pthread_mutex_init(&made->lock, NULL) != 0) {
        free(made);
        return fault_set(fault, FAULT_STORAGE, "no memory for the writer: end other programs and try again");
    }
    made->options = *options;
    made->address = strdup(options->address);
    made->kiosk = strdup(options->kiosk);
    made->queue = queue_create(WRITER_QUEUE);
    const bool ok = made->address && made->kiosk && made->queue
                        ? start(made, fault)
                        : fault_set(fault, FAULT_STORAGE, "no memory for the writer: end other programs and try again");
    if (ok)
        *writer = made;
    else
        destroy(made);
    return ok;
}

void writer_destroy(struct writer *writer)
{
    if (!writer)
        return;
    queue_close(writer->queue);
    thread_join(writer->thread);
    destroy(writer);
}

/* ---- waiting for an answer ---- */

struct waiter {
    sem_t told;
    json_t *answer;
    struct fault fault;
};

static void wake(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                 const struct fault *fault)
{
    struct waiter *waiter = context;
    (void)id, (void)last_seq, (void)repeated;
    waiter->answer = *answer;
    *answer = NULL;
    waiter->fault = *fault;
    (void)sem_post(&waiter->told);
}

bool writer_run(struct writer *writer, const struct act *act, json_t **answer, struct fault *fault)
{
    struct waiter waiter = {.answer = NULL};
    if (sem_init(&waiter.told, 0, 0) != 0)
        return fault_set(fault, FAULT_BUSY, "no way to wait for the answer: try again");
    const bool sent = writer_submit(writer, act, wake, &waiter, fault);
    while (sent && sem_wait(&waiter.told) != 0) /* a signal came in between */
        ;
    (void)sem_destroy(&waiter.told);
    if (!sent)
        return false;
    if (!waiter.answer)
        return fault_set(fault, waiter.fault.code ? waiter.fault.code : FAULT_BUSY, "%s",
                         waiter.fault.code ? waiter.fault.text
                                           : "no memory for the answer: ask again with the same id");
    *answer = waiter.answer;
    return true;
}

void writer_read_counts(struct writer *writer, struct writer_counts *counts)
{
    pthread_mutex_lock(&writer->lock);
    *counts = writer->counts;
    pthread_mutex_unlock(&writer->lock);
}
