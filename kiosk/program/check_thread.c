#include "kiosk/program/check_thread.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "kiosk/basics/log.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/file_check.h"
#include "labels/basics/text.h"

/* Low, not lowest: while it looks it holds a state of the ledger, under which the log cannot shrink, and a thread that
 * never gets its turn would hold it for ever. */
enum { NICE = 10, KNOCK_MS = 20 };

#define TORN                                                                                                           \
    "The last change before the stop was cut off in the middle of being stored: look whether the last act is there, "  \
    "and do it again if it is not."

enum state { WAITING, CHECKING, GOOD, PART, INDEX, DAMAGED, UNKNOWN };
static const char *const words[] = {"waiting", "checking", "good", "part", "index", "damaged", "unknown"};

struct check_thread {
    struct check_thread_options options;
    struct opening opening;
    struct file_check *check;
    struct thread *thread;
    pthread_mutex_t lock; /* guards all below */
    pthread_cond_t changed;
    bool stop, ended;
    enum state state;
    char sentence[FAULT_TEXT_SIZE];
};

static void set_state(struct check_thread *self, enum state state, const char *sentence)
{
    pthread_mutex_lock(&self->lock);
    self->state = state;
    (void)span_copy(span_of(sentence), self->sentence, sizeof self->sentence);
    pthread_mutex_unlock(&self->lock);
    feed_pass(self->options.feed, "ledger", "{}");
}

/* On the writer's thread, under its lock. */
static void give_way(void *context)
{
    const struct check_thread *self = context;
    file_check_give_way(self->check);
}

static void tell(struct check_thread *self, const struct file_check_report *report)
{
    static const enum state states[] = {
        [FILE_CHECK_GOOD] = GOOD, [FILE_CHECK_PART] = PART, [FILE_CHECK_INDEX] = INDEX, [FILE_CHECK_DAMAGED] = DAMAGED};
    if (report->state >= FILE_CHECK_INDEX)
        writer_shut(self->options.writer, report->sentence);
    else
        log_line(report->state == FILE_CHECK_GOOD ? LOG_LEVEL_INFO : LOG_LEVEL_WARNING, "check", "%s",
                 report->sentence);
    set_state(self, states[report->state], report->sentence);
}

static void check_now(struct check_thread *self)
{
    struct file_check_report report;
    struct fault fault = {FAULT_NONE, ""};
    set_state(self, CHECKING, "");
    writer_watch_log(self->options.writer, give_way, self);
    const bool fine = file_check_run(self->check, &report, &fault);
    writer_watch_log(self->options.writer, NULL, NULL);
    if (fine) {
        tell(self, &report);
        return;
    }
    set_state(self, UNKNOWN, fault.text);
    log_line(LOG_LEVEL_WARNING, "check", "the ledger's file was not checked: %s", fault.text);
}

static struct timespec in_ms(int ms)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_nsec += ms * 1000000L;
    until.tv_sec += until.tv_nsec / 1000000000;
    until.tv_nsec %= 1000000000;
    return until;
}

static void run(void *context)
{
    struct check_thread *self = context;
    const struct timespec until = in_ms(self->opening.orderly ? CHECK_THREAD_PAUSE_MS : 0);
    (void)setpriority(PRIO_PROCESS, (id_t)gettid(), NICE); /* Linux: of this thread alone */
    int waited = 0;
    pthread_mutex_lock(&self->lock);
    while (!self->stop && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&self->changed, &self->lock, &until);
    const bool go = !self->stop;
    pthread_mutex_unlock(&self->lock);
    if (go)
        check_now(self);
    pthread_mutex_lock(&self->lock);
    self->ended = true;
    pthread_cond_broadcast(&self->changed);
    pthread_mutex_unlock(&self->lock);
}

static void release(struct check_thread *self)
{
    file_check_destroy(self->check);
    pthread_cond_destroy(&self->changed);
    pthread_mutex_destroy(&self->lock);
    free(self);
}

static struct check_thread *create(const struct check_thread_options *options)
{
    pthread_condattr_t attributes;
    struct check_thread *self = calloc(1, sizeof *self);
    if (!self)
        return NULL;
    self->options = *options;
    pthread_mutex_init(&self->lock, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&self->changed, &attributes);
    pthread_condattr_destroy(&attributes);
    writer_read_opening(options->writer, &self->opening);
    self->check = file_check_create(options->ledger_address);
    if (self->check)
        return self;
    release(self);
    return NULL;
}

static void say_how_it_stopped(const struct check_thread *self)
{
    if (!self->opening.orderly && self->opening.sentence[0])
        log_line(LOG_LEVEL_WARNING, "check", "%s", self->opening.sentence);
    if (self->opening.log_torn)
        log_line(LOG_LEVEL_WARNING, "check", "%s", TORN);
}

bool check_thread_start(const struct check_thread_options *options, struct check_thread **thread, struct fault *fault)
{
    struct check_thread *self = create(options);
    if (!self)
        return fault_set(fault, FAULT_STORAGE, "no memory to check the ledger's file");
    say_how_it_stopped(self);
    if (writer_is_shut(options->writer, self->sentence)) {
        self->state = DAMAGED;
    } else if (self->opening.has_file) {
        if (!self->opening.orderly && self->opening.bytes <= FILE_CHECK_SMALL) {
            check_now(self);
        } else if (!thread_start("check", run, self, &self->thread, fault)) {
            release(self);
            return false;
        }
    }
    *thread = self;
    return true;
}

/* Knocks until it has ended: a statement that began just now has missed the first knock. */
void check_thread_stop(struct check_thread *thread)
{
    if (!thread)
        return;
    pthread_mutex_lock(&thread->lock);
    thread->stop = true;
    pthread_cond_broadcast(&thread->changed);
    while (thread->thread && !thread->ended) {
        const struct timespec until = in_ms(KNOCK_MS);
        pthread_mutex_unlock(&thread->lock);
        file_check_stop(thread->check);
        pthread_mutex_lock(&thread->lock);
        if (!thread->ended)
            (void)pthread_cond_timedwait(&thread->changed, &thread->lock, &until);
    }
    pthread_mutex_unlock(&thread->lock);
    thread_join(thread->thread);
    release(thread);
}

void check_thread_health(struct check_thread *thread, json_t *health)
{
    json_t *notes = json_object_get(health, "notes");
    pthread_mutex_lock(&thread->lock);
    const enum state state = thread->state;
    json_object_set_new(health, "file", json_string(words[state]));
    json_object_set_new(health, "file_sentence", thread->sentence[0] ? json_string(thread->sentence) : json_null());
    if (state == PART || state == UNKNOWN)
        json_array_append_new(notes, json_string(thread->sentence));
    pthread_mutex_unlock(&thread->lock);
    if (!thread->opening.orderly && (state == WAITING || state == CHECKING))
        json_array_append_new(notes, json_string("The last stop was not orderly. The kiosk's ledger is being checked; "
                                                 "go on with your work meanwhile."));
    if (thread->opening.log_torn)
        json_array_append_new(notes, json_string(TORN));
}
