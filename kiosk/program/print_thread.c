#include "kiosk/program/print_thread.h"

#include <errno.h>
#include <poll.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "kiosk/basics/clock.h"
#include "kiosk/basics/id.h"
#include "kiosk/basics/log.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/json_memory.h"
#include "kiosk/program/print_parts.h"

enum { LOOK_MS = 15000, SAY_AGAIN_MS = 5000 };

static void wake_up(void *context)
{
    const struct print_thread *self = context;
    const uint64_t one = 1;
    if (write(self->wake, &one, sizeof one) < 0 && errno != EAGAIN)
        log_line(LOG_LEVEL_WARNING, "printing", "the printing thread could not be woken (%s)", strerror(errno));
}

void print_rest(struct print_thread *self, int ms)
{
    struct pollfd poller = {.fd = self->wake, .events = POLLIN};
    uint64_t count;
    if (!atomic_load(&self->stop) && poll(&poller, 1, ms) > 0)
        (void)!read(self->wake, &count, sizeof count);
}

/* Trouble is told again now and then: what passes is not kept for pages that open later. */
void print_say(struct print_thread *self, const char *sentence)
{
    const bool known = strcmp(self->said, sentence) == 0; /* only this thread writes it */
    if (known && (sentence[0] == '\0' || clock_mono_ms() - self->said_ms < SAY_AGAIN_MS))
        return;
    pthread_mutex_lock(&self->lock);
    (void)span_copy(span_of(sentence), self->said, sizeof self->said);
    pthread_mutex_unlock(&self->lock);
    self->said_ms = clock_mono_ms();
    json_t *data = json_pack("{s:s,s:s}", "device", "label-printer", "sentence", self->said);
    char *text = data ? json_memory_dumps(data, JSON_COMPACT) : NULL;
    if (text)
        feed_pass(self->options.feed, "device", text);
    free(text);
    json_decref(data);
    if (sentence[0] != '\0' && !known)
        log_line(LOG_LEVEL_WARNING, "printing", "%s", sentence);
}

bool print_mark(struct print_thread *self, const struct print *print, enum print_state state, int job, const char *note)
{
    struct act act = {.kind = "print-mark", .version = 1, .content = json_object()};
    struct fault fault = {0};
    json_t *answer = NULL;
    id_make(act.id);
    json_object_set_new(act.content, "unit", json_string(print->unit));
    json_object_set_new(act.content, "place", json_string(print->place));
    json_object_set_new(act.content, "number", json_integer(print->number));
    json_object_set_new(act.content, "state", json_string(print_state_word(state)));
    json_object_set_new(act.content, "device", json_string("label-printer"));
    if (state == PRINT_SENT)
        json_object_set_new(act.content, "template", json_string(print->label_template));
    if (job > 0)
        json_object_set_new(act.content, "device_job", json_integer(job));
    if (note[0] != '\0')
        json_object_set_new(act.content, "note", json_string(note));
    const bool done = writer_run(self->options.writer, &act, &answer, &fault);
    json_decref(answer);
    if (!done)
        log_line(LOG_LEVEL_WARNING, "printing", "label of %s%s not marked %s: %s", print->unit, print->place,
                 print_state_word(state), fault.text);
    return done;
}

bool print_ledger_open(struct print_thread *self)
{
    struct fault fault = {0};
    if (self->ledger || ledger_open(self->options.ledger_address, LEDGER_READER, &self->ledger, &fault))
        return true;
    print_say(self, fault.text);
    return false;
}

void print_ledger_drop(struct print_thread *self, const struct fault *fault)
{
    log_line(LOG_LEVEL_WARNING, "printing", "%s", fault->text);
    ledger_close(self->ledger);
    self->ledger = NULL;
}

static bool take_print(const struct print *print, void *context)
{
    struct print_thread *self = context;
    self->prints[self->print_count++] = *print;
    return self->print_count < PRINTS_MOST;
}

static bool read_prints(struct print_thread *self, enum print_state state)
{
    struct fault fault = {0};
    self->print_count = 0;
    if (!print_ledger_open(self))
        return false;
    if (print_each_in_state(self->ledger, state, PRINTS_MOST, take_print, self, &fault))
        return true;
    print_ledger_drop(self, &fault);
    return false;
}

static bool take_kiosk(const struct movement *movement, void *context)
{
    (void)span_copy(span_of(movement->kiosk), context, KIOSK_SIZE);
    return false;
}

/* Where several kiosks share a ledger, another one may be sending it right now. A file is one kiosk's, under whatever
 * name it goes. */
static bool was_sent_here(struct print_thread *self, const struct print *print)
{
    char kiosk[KIOSK_SIZE] = "";
    struct fault fault = {0};
    if (!self->options.shared)
        return true;
    if (!ledger_each(self->ledger, print->version - 1, 1, take_kiosk, kiosk, &fault)) {
        print_ledger_drop(self, &fault);
        return false;
    }
    return strcmp(kiosk, self->options.kiosk) == 0;
}

/* What was being sent when the daemon ended: it may have come out or not. */
static void settle_sent(struct print_thread *self)
{
    bool answers = true; /* one silence is enough: the labels that wait would wait for the limits each time */
    if (!read_prints(self, PRINT_SENT))
        return;
    for (size_t i = 0; i < self->print_count && !atomic_load(&self->stop); i++)
        if (was_sent_here(self, &self->prints[i]) && !print_settle_sent(self, &self->prints[i], &answers))
            return;
}

/* Why the printer takes nothing now; "" when it does. */
static void why_not(const struct printer_facts *facts, char words[PRINT_STATUS_SIZE])
{
    print_reason_words(&facts->reasons, words, PRINT_STATUS_SIZE);
    if (facts->state != PRINTER_STATE_STOPPED && facts->accepts_jobs)
        words[0] = '\0';
    else if (words[0] == '\0')
        (void)snprintf(words, PRINT_STATUS_SIZE, "%s",
                       facts->accepts_jobs ? "The label printer is stopped: set it going at its panel."
                                           : "The label printer's queue takes no labels: let it take them again.");
}

/* One label: true when something became of it. False: `fault` says why it waits on. */
static bool print_one(struct print_thread *self, const struct print *print, const struct printer_facts *facts,
                      struct fault *fault)
{
    struct print_raster raster;
    if (!print_label_make(self->ledger, self->drawer, &self->options.templates, print, facts, &raster, fault)) {
        const bool waits = fault->code == FAULT_DEVICE || fault->code == FAULT_STORAGE || fault->code == FAULT_DAMAGED;
        if (!waits) {
            print_say(self, fault->text);
            print_mark(self, print, PRINT_FAILED, 0, "");
        }
        return !waits;
    }
    raster.job.darkness = self->options.darkness;
    raster.job.speed = self->options.speed;
    raster.job.tracking = self->options.tracking;
    print_send(self, print, &raster, &facts->reasons);
    print_label_clear(&raster);
    return true;
}

/* The first label that can be printed. One whose roll is not in waits, and holds up no other. */
static void print_next(struct print_thread *self)
{
    struct printer_facts facts;
    struct fault fault = {0}, first = {0};
    char words[PRINT_STATUS_SIZE];
    if (!printer_query(self->printer, &facts, &fault)) {
        print_say(self, fault.text);
        print_rest(self, PRINT_RETRY_MS);
        return;
    }
    why_not(&facts, words);
    for (size_t i = 0; words[0] == '\0' && i < self->print_count; i++) {
        if (print_one(self, &self->prints[i], &facts, &fault))
            return;
        if (i == 0)
            first = fault;
    }
    print_say(self, words[0] ? words : first.text);
    print_rest(self, PRINT_RETRY_MS);
}

static void run(void *context)
{
    struct print_thread *self = context;
    self->told_seq = feed_last_seq(self->options.feed); /* what was told another run of the daemon is past */
    settle_sent(self);
    while (!atomic_load(&self->stop)) {
        bool cancel;
        print_told(self, NULL, &cancel);
        if (self->wants_calibration)
            print_calibration(self);
        else if (read_prints(self, PRINT_WAITING) && self->print_count > 0)
            print_next(self);
        else
            print_rest(self, LOOK_MS);
    }
}

static void release(struct print_thread *self)
{
    if (self->follower)
        feed_leave(self->follower);
    if (self->wake >= 0)
        close(self->wake);
    ledger_close(self->ledger);
    drawer_destroy(self->drawer);
    printer_close(self->printer);
    pthread_mutex_destroy(&self->lock);
    free(self);
}

bool print_thread_start(const struct print_thread_options *options, struct print_thread **thread, struct fault *fault)
{
    struct print_thread *self = calloc(1, sizeof *self);
    if (!self)
        return fault_set(fault, FAULT_STORAGE, "no memory for the printing thread");
    self->options = *options;
    pthread_mutex_init(&self->lock, NULL); /* of the default kind: cannot fail on Linux */
    self->wake = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    bool good = self->wake >= 0;
    if (!good)
        fault_set(fault, FAULT_STORAGE, "no descriptor for the printing thread (%s)", strerror(errno));
    good = good && (self->printer = printer_open(options->printer_uri, fault)) && (self->drawer = drawer_create(fault));
    if (good && !(self->follower = feed_follow(options->feed, wake_up, self)))
        good = fault_set(fault, FAULT_STORAGE, "no memory for the printing thread");
    good = good && thread_start("printing", run, self, &self->thread, fault);
    if (!good) {
        release(self);
        return false;
    }
    *thread = self;
    return true;
}

void print_thread_stop(struct print_thread *thread)
{
    if (!thread)
        return;
    atomic_store(&thread->stop, true);
    wake_up(thread);
    thread_join(thread->thread);
    release(thread);
}

void print_thread_health(struct print_thread *thread, json_t *health)
{
    char said[PRINT_STATUS_SIZE] = "";
    if (thread) {
        pthread_mutex_lock(&thread->lock);
        memcpy(said, thread->said, sizeof said);
        pthread_mutex_unlock(&thread->lock);
    }
    json_object_set_new(health, "label_printer",
                        json_pack("{s:b, s:s}", "set_up", thread != NULL, "sentence",
                                  thread ? said : "No label printer is set up: labels wait. See the configuration."));
}
