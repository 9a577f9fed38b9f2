#include "kiosk/program/scanner_thread.h"

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
#include "kiosk/devices/scanner_keyboard.h"
#include "kiosk/devices/scanner_serial.h"
#include "kiosk/ledger/json_memory.h"
#include "kiosk/web/server.h"
#include "labels/basics/text.h"

enum { WAIT_MS = 4000 };

/* One scanner of either kind. */
struct scanner {
    const struct config_scanner *config;
    struct scanner_serial *serial; /* one of the two */
    struct scanner_keyboard *keyboard;
    bool was_lost; /* told once */
};

struct scanner_thread {
    struct scanner scanners[CONFIG_SCANNERS];
    int count;
    struct writer *writer;
    struct feed *feed;
    struct thread *thread;
    int wake;
    atomic_bool stop;
};

/* What the writer needs to announce the counter when the act is done. */
struct announcement {
    struct feed *feed;
    char counter[ACT_COUNTER_SIZE];
};

static int fd_of(const struct scanner *scanner)
{
    return scanner->serial ? scanner_serial_fd(scanner->serial) : scanner_keyboard_fd(scanner->keyboard);
}

static int wait_of(const struct scanner *scanner, int64_t now)
{
    return scanner->serial ? scanner_serial_wait_ms(scanner->serial, now)
                           : scanner_keyboard_wait_ms(scanner->keyboard, now);
}

static bool reopen(struct scanner *scanner, int64_t now, struct fault *fault)
{
    return scanner->serial ? scanner_serial_reopen(scanner->serial, now, fault)
                           : scanner_keyboard_reopen(scanner->keyboard, now, fault);
}

static enum device_event ready(struct scanner *scanner, int64_t now, struct device_scan *scan, struct fault *fault)
{
    return scanner->serial ? scanner_serial_ready(scanner->serial, now, scan, fault)
                           : scanner_keyboard_ready(scanner->keyboard, now, scan, fault);
}

/* Tells the pages of this counter what the device says. */
static void tell(const struct scanner_thread *self, const struct scanner *scanner, const char *sentence)
{
    json_t *data = json_pack("{s:s,s:s,s:s}", "device", scanner->config->name, "counter", scanner->config->counter,
                             "sentence", sentence);
    char *text = data ? json_memory_dumps(data, JSON_COMPACT) : NULL;
    if (text)
        feed_pass(self->feed, "device", text);
    free(text);
    json_decref(data);
}

static void pass(const struct scanner_thread *self, const struct scanner *scanner, const char *sentence)
{
    tell(self, scanner, sentence);
    if (sentence[0] != '\0')
        log_line(LOG_LEVEL_WARNING, "scanner", "%s: %s", scanner->config->name, sentence);
}

static void announce(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                     const struct fault *fault)
{
    struct announcement *announcement = context;
    (void)id;
    (void)last_seq;
    (void)repeated;
    if (!*answer && fault)
        log_line(LOG_LEVEL_WARNING, "scanner", "scan at %s not taken: %s", announcement->counter, fault->text);
    web_announce_counter(announcement->feed, announcement->counter);
    free(announcement);
}

static void submit(const struct scanner_thread *self, const struct scanner *scanner, const struct device_scan *scan)
{
    struct fault fault = {0};
    char hex[2 * DEVICE_SCAN_SIZE + 1];
    text_write_hex((const uint8_t *)scan->bytes, scan->length, hex, sizeof hex);
    struct announcement *announcement = calloc(1, sizeof *announcement);
    struct act act = {.kind = "scan", .version = 1};
    if (!announcement)
        return;
    announcement->feed = self->feed;
    (void)span_copy(span_of(scanner->config->counter), announcement->counter, sizeof announcement->counter);
    (void)span_copy(span_of(scanner->config->counter), act.counter, sizeof act.counter);
    id_make(act.id);
    act.content = json_pack("{s:s,s:s,s:s}", "bytes", hex, "symbology", scan->symbology, "source", "scanner");
    if (!writer_submit(self->writer, &act, announce, announcement, &fault)) {
        free(announcement);
        pass(self, scanner, fault.text);
    }
}

static void serve(struct scanner_thread *self, struct scanner *scanner, int64_t now)
{
    struct fault fault = {0};
    if (fd_of(scanner) < 0) {
        if (reopen(scanner, now, &fault)) {
            if (scanner->was_lost)
                pass(self, scanner, "");
            scanner->was_lost = false;
            log_line(LOG_LEVEL_INFO, "scanner", "%s is there", scanner->config->name);
        } else if (fault.code != FAULT_BUSY && !scanner->was_lost) {
            scanner->was_lost = true;
            pass(self, scanner, fault.text);
        } else if (fault.code != FAULT_BUSY) {
            tell(self, scanner, fault.text); /* again, for pages that opened meanwhile; logged once */
        }
        return;
    }
    static struct device_scan scan; /* this thread is the only one */
    for (;;) {
        const enum device_event event = ready(scanner, now, &scan, &fault);
        if (event == DEVICE_NOTHING)
            return;
        if (event == DEVICE_SCAN)
            submit(self, scanner, &scan);
        else
            pass(self, scanner, fault.text);
        if (event == DEVICE_LOST) {
            scanner->was_lost = true;
            return;
        }
    }
}

static void run(void *context)
{
    struct scanner_thread *self = context;
    while (!atomic_load(&self->stop)) {
        struct pollfd pollers[CONFIG_SCANNERS + 1] = {{.fd = self->wake, .events = POLLIN}};
        int wait = WAIT_MS;
        int64_t now = clock_mono_ms();
        for (int i = 0; i < self->count; i++) {
            pollers[i + 1] = (struct pollfd){.fd = fd_of(&self->scanners[i]), .events = POLLIN};
            const int own = wait_of(&self->scanners[i], now);
            if (own >= 0 && own < wait)
                wait = own;
        }
        (void)poll(pollers, (nfds_t)self->count + 1, wait);
        now = clock_mono_ms();
        for (int i = 0; i < self->count && !atomic_load(&self->stop); i++)
            serve(self, &self->scanners[i], now);
    }
}

static bool create(struct scanner *scanner, const struct config_scanner *config, struct fault *fault)
{
    scanner->config = config;
    if (config->type == CONFIG_SCANNER_SERIAL) {
        const struct scanner_serial_settings settings = {config->path, config->speed, config->gap_ms};
        return (scanner->serial = scanner_serial_create(&settings, fault)) != NULL;
    }
    const struct scanner_keyboard_settings settings = {config->path, config->gs_key, config->gap_ms};
    return (scanner->keyboard = scanner_keyboard_create(&settings, fault)) != NULL;
}

static void release(struct scanner_thread *self)
{
    for (int i = 0; i < self->count; i++) {
        scanner_serial_destroy(self->scanners[i].serial);
        scanner_keyboard_destroy(self->scanners[i].keyboard);
    }
    if (self->wake >= 0)
        close(self->wake);
    free(self);
}

bool scanner_thread_start(const struct config_scanner *scanners, int count, struct writer *writer, struct feed *feed,
                          struct scanner_thread **thread, struct fault *fault)
{
    struct scanner_thread *self = calloc(1, sizeof *self);
    if (!self)
        return fault_set(fault, FAULT_STORAGE, "no memory for the scanner thread");
    self->writer = writer;
    self->feed = feed;
    self->wake = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    bool good = self->wake >= 0;
    if (!good)
        fault_set(fault, FAULT_STORAGE, "no descriptor for the scanner thread (%s)", strerror(errno));
    for (int i = 0; good && i < count; i++)
        if ((good = create(&self->scanners[i], &scanners[i], fault)))
            self->count++;
    good = good && thread_start("scanners", run, self, &self->thread, fault);
    if (!good) {
        release(self);
        return false;
    }
    *thread = self;
    return true;
}

void scanner_thread_stop(struct scanner_thread *thread)
{
    if (!thread)
        return;
    const uint64_t one = 1;
    atomic_store(&thread->stop, true);
    (void)!write(thread->wake, &one, sizeof one);
    thread_join(thread->thread);
    release(thread);
}
