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
#include "kiosk/program/print_label.h"

enum {
    RETRY_MS = 2000,
    POLL_MS = 300,
    LOOK_MS = 15000,
    SAY_AGAIN_MS = 5000,
    BUSY_TRIES = 30,
    STATUS_SIZE = FAULT_TEXT_SIZE
};

struct print_thread {
    struct print_thread_options options; /* strings borrowed: the daemon's configuration outlives the thread */
    struct printer *printer;
    struct drawer *drawer;
    struct ledger *ledger; /* a reader's, reopened after a fault */
    struct feed_follower *follower;
    struct thread *thread;
    int wake; /* eventfd: something was booked, or stop */
    atomic_bool stop;
    char said[STATUS_SIZE]; /* last state told to the pages and logged */
    int64_t said_ms;        /* when the pages were told */
};

static void wake_up(void *context)
{
    const struct print_thread *self = context;
    const uint64_t one = 1;
    if (write(self->wake, &one, sizeof one) < 0 && errno != EAGAIN)
        log_line(LOG_LEVEL_WARNING, "printing", "the printing thread could not be woken (%s)", strerror(errno));
}

/* Waits for a booking, the time limit, or the end. */
static void rest(struct print_thread *self, int ms)
{
    struct pollfd poller = {.fd = self->wake, .events = POLLIN};
    uint64_t count;
    if (!atomic_load(&self->stop) && poll(&poller, 1, ms) > 0)
        (void)!read(self->wake, &count, sizeof count);
}

/* Tells the pages how the printer is; "" = fine. Trouble is told again now and then: what passes is not kept for pages
 * that open later. */
static void say(struct print_thread *self, const char *sentence)
{
    const bool known = strcmp(self->said, sentence) == 0;
    if (known && (sentence[0] == '\0' || clock_mono_ms() - self->said_ms < SAY_AGAIN_MS))
        return;
    (void)span_copy(span_of(sentence), self->said, sizeof self->said);
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

static bool mark(struct print_thread *self, const struct print *print, enum print_state state, int job,
                 const char *note)
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

static bool open_ledger(struct print_thread *self)
{
    struct fault fault = {0};
    if (self->ledger || ledger_open(self->options.ledger_address, LEDGER_READER, &self->ledger, &fault))
        return true;
    say(self, fault.text);
    return false;
}

/* After a fault the connection may be dead: the next look opens a new one. */
static void drop_ledger(struct print_thread *self, const struct fault *fault)
{
    log_line(LOG_LEVEL_WARNING, "printing", "%s", fault->text);
    ledger_close(self->ledger);
    self->ledger = NULL;
}

static bool take_first(const struct print *print, void *context)
{
    *(struct print *)context = *print;
    return false;
}

static bool first_in_state(struct print_thread *self, enum print_state state, struct print *print)
{
    struct fault fault = {0};
    print->number = 0;
    if (!open_ledger(self))
        return false;
    if (!print_each_in_state(self->ledger, state, 1, take_first, print, &fault)) {
        drop_ledger(self, &fault);
        return false;
    }
    return print->number > 0;
}

/* What was being sent when the daemon ended: it may have come out or not. */
static void ask_about_sent(struct print_thread *self)
{
    struct print print;
    while (!atomic_load(&self->stop) && first_in_state(self, PRINT_SENT, &print)) {
        char note[160];
        (void)snprintf(
            note, sizeof note,
            "The kiosk stopped while the label of %s%s was being sent. Did it come out? Scan it, or reprint it.",
            print.unit, print.place);
        if (!mark(self, &print, PRINT_UNKNOWN, 0, note))
            return;
    }
}

/* The worst reason in words, or "". */
static void printer_words(const struct printer_reasons *reasons, char *text, size_t size)
{
    text[0] = '\0';
    for (size_t i = 0; i < reasons->count; i++)
        if (reasons->list[i].severity != PRINTER_REPORT) {
            printer_reason_say(reasons->list[i].keyword, text, size);
            return;
        }
}

/* Follows a sent label to its end. */
static void follow(struct print_thread *self, const struct print *print, int job)
{
    int64_t news = clock_mono_ms();
    const int64_t limit = (int64_t)self->options.ask_seconds * 1000;
    while (!atomic_load(&self->stop)) {
        enum printer_job_state state;
        struct printer_reasons reasons;
        struct printer_facts facts;
        struct fault fault = {0};
        char words[STATUS_SIZE] = "";
        if (printer_poll(self->printer, job, &state, &reasons, &fault)) {
            if (state == PRINTER_JOB_COMPLETED) {
                say(self, "");
                mark(self, print, PRINT_PRINTED, job, "");
                return;
            }
            if (state == PRINTER_JOB_CANCELED || state == PRINTER_JOB_ABORTED) {
                mark(self, print, PRINT_FAILED, job, "");
                say(self, "The printer gave a label up: look at it, then reprint that label.");
                return;
            }
            if (state == PRINTER_JOB_GONE)
                break;
            if (printer_query(self->printer, &facts, &fault))
                printer_words(&facts.reasons, words, sizeof words);
            if (words[0] != '\0') /* it said why it waits: that is news */
                news = clock_mono_ms();
        } else {
            (void)snprintf(words, sizeof words, "%.190s", fault.text);
        }
        say(self, words);
        if (clock_mono_ms() - news > limit)
            break;
        rest(self, POLL_MS);
    }
    if (!atomic_load(&self->stop))
        mark(self, print, PRINT_UNKNOWN, job,
             "The printer lost track of a label. Did it come out? Scan it, or reprint it.");
}

static void send_label(struct print_thread *self, const struct print *print, const struct print_raster *raster)
{
    struct fault fault = {0};
    enum printer_sent sent = PRINTER_BUSY;
    int job = 0;
    if (!mark(self, print, PRINT_SENT, 0,
              "")) /* durable before a byte goes out: a crash asks, and never prints twice */
        return;
    for (int i = 0; sent == PRINTER_BUSY && i < BUSY_TRIES && !atomic_load(&self->stop); i++) {
        if (i > 0)
            rest(self, POLL_MS);
        sent = printer_send(self->printer, &raster->job, &job, &fault);
    }
    switch (sent) {
    case PRINTER_SENT:
        follow(self, print, job);
        break;
    case PRINTER_BUSY:
    case PRINTER_NOT_SENT:
        say(self, fault.text);
        mark(self, print, fault.code == FAULT_INPUT ? PRINT_FAILED : PRINT_WAITING, 0, "");
        rest(self, RETRY_MS);
        break;
    case PRINTER_UNKNOWN:
        mark(self, print, PRINT_UNKNOWN, 0, fault.text);
        break;
    }
}

/* One label. The printer is asked first, so that a label waits while the printer is away. */
static void print_one(struct print_thread *self, const struct print *print)
{
    struct printer_facts facts;
    struct fault fault = {0};
    if (!printer_query(self->printer, &facts, &fault)) {
        say(self, fault.text);
        rest(self, RETRY_MS);
        return;
    }
    char words[STATUS_SIZE];
    printer_words(&facts.reasons, words, sizeof words);
    if (facts.state == PRINTER_STATE_STOPPED || !facts.accepts_jobs) {
        say(self, words[0] ? words : "The label printer is stopped: set it going at its panel.");
        rest(self, RETRY_MS);
        return;
    }
    struct print_raster raster;
    if (!print_label_make(self->ledger, self->drawer, &self->options.templates, print, &facts, &raster, &fault)) {
        say(self, fault.text);
        if (fault.code == FAULT_DEVICE || fault.code == FAULT_STORAGE || fault.code == FAULT_DAMAGED)
            rest(self, RETRY_MS); /* the wrong roll: wait for the right one */
        else
            mark(self, print, PRINT_FAILED, 0, "");
        return;
    }
    send_label(self, print, &raster);
    print_label_clear(&raster);
}

static void run(void *context)
{
    struct print_thread *self = context;
    ask_about_sent(self);
    while (!atomic_load(&self->stop)) {
        struct print print;
        if (first_in_state(self, PRINT_WAITING, &print))
            print_one(self, &print);
        else
            rest(self, LOOK_MS);
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
    free(self);
}

bool print_thread_start(const struct print_thread_options *options, struct print_thread **thread, struct fault *fault)
{
    struct print_thread *self = calloc(1, sizeof *self);
    if (!self)
        return fault_set(fault, FAULT_STORAGE, "no memory for the printing thread");
    self->options = *options;
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
