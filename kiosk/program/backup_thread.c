#include "kiosk/program/backup_thread.h"

#include <inttypes.h>
#include <limits.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "kiosk/basics/log.h"
#include "kiosk/basics/thread.h"
#include "kiosk/ledger/backup/backup_folder.h"
#include "labels/basics/text.h"

enum { HOUR_MS = 60 * 60 * 1000, LOOK_MS = 30 * 1000, EMPTY_MS = 2000, NICE = 10 }; /* as check_thread.c says */
enum { IOPRIO_WHO_THREAD = 1, IOPRIO_LOW = 2 << 13 | 7 }; /* linux/ioprio.h, which Debian 12 does not ship whole */

/* What health tells; guarded by the lock. */
struct status {
    struct backup_newest newest;
    struct backup_facts facts;
    bool failing;
    bool shares_disk;       /* with the ledger */
    int64_t newest_mono_ms; /* when it was made, or found at start */
    char why[FAULT_TEXT_SIZE];
};

struct backup_thread {
    struct backup_thread_options options;
    struct thread *thread;
    pthread_mutex_t lock; /* of status, and for the condition */
    pthread_cond_t wake;
    atomic_bool stop;
    bool knows_folder; /* the newest one there was looked up */
    int64_t due_ms;    /* monotonic */
    struct status status;
};

static int64_t every_ms(const struct backup_thread *self)
{
    return (int64_t)self->options.every_hours * HOUR_MS;
}

static void failed(struct backup_thread *self, const struct fault *fault)
{
    char when[CALENDAR_INSTANT_SIZE] = "the kiosk was set up";
    pthread_mutex_lock(&self->lock);
    self->status.failing = true;
    memcpy(self->status.why, fault->text, sizeof self->status.why);
    if (self->status.newest.found)
        (void)calendar_write_instant(self->status.newest.at, when);
    pthread_mutex_unlock(&self->lock);
    log_line(LOG_LEVEL_WARNING, "backup", "no good backup since %s: %s", when, fault->text);
    self->due_ms = clock_mono_ms() + BACKUP_RETRY_MS;
}

static void succeeded(struct backup_thread *self, const struct backup_newest *newest, const struct backup_facts *facts)
{
    pthread_mutex_lock(&self->lock);
    self->status =
        (struct status){.newest = *newest,
                        .facts = *facts,
                        .newest_mono_ms = clock_mono_ms(),
                        .shares_disk = backup_folder_shares_disk(self->options.folder, self->options.ledger_address)};
    pthread_mutex_unlock(&self->lock);
}

/* The newest one that lies there: its age tells when the next is due. */
static void look_into_folder(struct backup_thread *self)
{
    const struct instant now = clock_now(self->options.clock).wall;
    struct backup_newest newest;
    struct backup_facts facts = {.movements = 0};
    struct fault fault = {0};
    char path[PATH_MAX];
    struct builder text;
    if (!backup_folder_newest(self->options.folder, self->options.ledger_address, &newest, &fault)) {
        failed(self, &fault);
        return;
    }
    if (backup_folder_shares_disk(self->options.folder, self->options.ledger_address))
        log_line(LOG_LEVEL_WARNING, "backup",
                 "the folder '%s' is on the ledger's own disk and dies with it: name one on another disk",
                 self->options.folder);
    builder_init(&text, path, sizeof path);
    builder_addf(&text, "%s/%s", self->options.folder, newest.name);
    if (newest.found && backup_look(path, &facts, NULL))
        succeeded(self, &newest, &facts);
    self->knows_folder = true;
    self->due_ms = clock_mono_ms() + backup_due_ms(&newest, now, every_ms(self));
}

/* Nothing is booked yet: there is nothing to lose, and such a copy could be of any ledger. */
static bool is_empty(struct backup_thread *self)
{
    struct backup_facts facts;
    return backup_look(self->options.ledger_address, &facts, NULL) && facts.movements == 0;
}

static void make_one(struct backup_thread *self)
{
    if (is_empty(self)) {
        self->due_ms = clock_mono_ms() + EMPTY_MS;
        return;
    }
    const struct instant now = clock_now(self->options.clock).wall;
    struct backup_newest made = {.found = false};
    struct backup_facts facts;
    struct fault fault = {0};
    int kept = 0;
    const bool fine = backup_folder_add(self->options.folder, self->options.ledger_address, self->options.keep, now,
                                        &self->stop, &made, &facts, &kept, &fault);
    if (made.found) {
        succeeded(self, &made, &facts);
        log_line(LOG_LEVEL_INFO, "backup", "%s: %" PRId64 " movements, checked whole; %d kept", made.name,
                 facts.movements, kept);
        self->due_ms = clock_mono_ms() + every_ms(self);
        if (!fine) /* an old one could not be removed */
            log_line(LOG_LEVEL_WARNING, "backup", "%s", fault.text);
    } else if (!atomic_load(&self->stop)) {
        failed(self, &fault);
    }
}

/* A look now and then instead of one long wait: the condition's clock stands still while the machine sleeps. */
static void rest(struct backup_thread *self, int64_t ms)
{
    struct timespec until;
    const int64_t most = ms < LOOK_MS ? ms : LOOK_MS;
    (void)clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += most / 1000;
    until.tv_nsec += most % 1000 * 1000000;
    if (until.tv_nsec >= 1000000000) {
        until.tv_sec++;
        until.tv_nsec -= 1000000000;
    }
    pthread_mutex_lock(&self->lock);
    if (!atomic_load(&self->stop))
        (void)pthread_cond_timedwait(&self->wake, &self->lock, &until);
    pthread_mutex_unlock(&self->lock);
}

static void run(void *context)
{
    struct backup_thread *self = context;
    /* of this thread alone, as Linux counts; without them the counter would only be a little slower */
    (void)setpriority(PRIO_PROCESS, (id_t)gettid(), NICE);
    (void)syscall(SYS_ioprio_set, IOPRIO_WHO_THREAD, 0, IOPRIO_LOW);
    while (!atomic_load(&self->stop)) {
        const int64_t left = self->due_ms - clock_mono_ms();
        if (left > 0)
            rest(self, left);
        else if (!self->knows_folder)
            look_into_folder(self);
        else
            make_one(self);
    }
}

bool backup_thread_start(const struct backup_thread_options *options, struct backup_thread **thread,
                         struct fault *fault)
{
    struct backup_thread *made = calloc(1, sizeof *made);
    pthread_condattr_t monotonic;
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for the backups");
    made->options = *options;
    made->due_ms = clock_mono_ms();
    pthread_mutex_init(&made->lock, NULL);
    pthread_condattr_init(&monotonic);
    (void)pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&made->wake, &monotonic);
    pthread_condattr_destroy(&monotonic);
    if (!thread_start("backup", run, made, &made->thread, fault)) {
        backup_thread_stop(made);
        return false;
    }
    *thread = made;
    return true;
}

void backup_thread_stop(struct backup_thread *thread)
{
    if (!thread)
        return;
    pthread_mutex_lock(&thread->lock);
    atomic_store(&thread->stop, true);
    pthread_cond_signal(&thread->wake);
    pthread_mutex_unlock(&thread->lock);
    thread_join(thread->thread);
    pthread_cond_destroy(&thread->wake);
    pthread_mutex_destroy(&thread->lock);
    free(thread);
}

/* Late is as bad as failing: a worker that hangs says nothing by itself. */
static bool is_well(const struct backup_thread *thread, const struct status *status)
{
    return status->newest.found && !status->failing && clock_mono_ms() - status->newest_mono_ms < 2 * every_ms(thread);
}

static void say(const struct status *status, bool ok, char *sentence, size_t size)
{
    char when[CALENDAR_INSTANT_SIZE];
    struct builder text;
    builder_init(&text, sentence, size);
    if (!status->newest.found)
        builder_add(&text, status->failing ? "there is no good backup yet" : "the first backup is yet to be made");
    else if (ok)
        builder_addf(&text, "the newest backup holds %" PRId64 " movements and was checked whole",
                     status->facts.movements);
    else
        builder_addf(&text, "no good backup since %s", calendar_write_instant(status->newest.at, when));
    if (status->why[0])
        builder_addf(&text, ": %s", status->why);
    else if (status->shares_disk)
        builder_add(&text, ", but it lies on the ledger's own disk and would die with it");
    text_end_whole(sentence);
}

void backup_thread_tell(struct backup_thread *thread, json_t *health)
{
    char head[2 * HASH_BYTES + 1], when[CALENDAR_INSTANT_SIZE], sentence[FAULT_TEXT_SIZE + 100];
    struct status status;
    if (!thread) {
        (void)json_object_set_new(
            health, "backup",
            json_pack("{s:b, s:b, s:s}", "set_up", 0, "ok", 0, "sentence",
                      "no backups are set up: name a folder under [backup] in the configuration"));
        return;
    }
    pthread_mutex_lock(&thread->lock);
    status = thread->status;
    pthread_mutex_unlock(&thread->lock);
    const bool ok = is_well(thread, &status), found = status.newest.found;
    say(&status, ok, sentence, sizeof sentence);
    text_write_hex(status.facts.head, HASH_BYTES, head, sizeof head);
    (void)json_object_set_new(health, "backup",
                              json_pack("{s:b, s:b, s:s, s:s, s:s?, s:s?, s:I, s:s?}", "set_up", 1, "ok", (int)ok,
                                        "sentence", sentence, "folder", thread->options.folder, "newest",
                                        found ? calendar_write_instant(status.newest.at, when) : NULL, "file",
                                        found ? status.newest.name : NULL, "movements",
                                        (json_int_t)status.facts.movements, "head", found ? head : NULL));
}
