#include <stdio.h>

#include "kiosk/basics/clock.h"
#include "kiosk/program/print_parts.h"

/* One label on its way: marked sent before a byte goes out, sent, followed until the printer says how it ended. */

enum { BUSY_TRIES = 30 };

void print_reason_words(const struct printer_reasons *reasons, char *text, size_t size)
{
    text[0] = '\0';
    for (size_t i = 0; i < reasons->count; i++)
        if (reasons->list[i].severity != PRINTER_REPORT) {
            printer_reason_say(reasons->list[i].keyword, text, size);
            return;
        }
}

/* A label on its way at the printer. */
struct way {
    const struct print *print;
    const char *name; /* as the job was sent with it */
    int job;
    bool cancel;  /* a person wants it dropped */
    int64_t news; /* monotonic: when the printer last said something that explains the wait */
};

/* "Completed" is what was claimed; a queue says it also of a label that its printer lost or printed twice. */
static void mark_completed(struct print_thread *self, const struct way *way, enum printer_certainty certainty)
{
    print_say(self, "");
    if (certainty == PRINTER_CAME_OUT_TWICE)
        print_mark(self, way->print, PRINT_UNKNOWN, way->job,
                   "The printer may have printed a label twice. Scan the one you stick on, and destroy the other.");
    else if (certainty == PRINTER_MAY_HAVE)
        print_mark(self, way->print, PRINT_UNKNOWN, way->job,
                   "The printer may have lost a label. Did it come out? Scan it, or reprint it.");
    else
        print_mark(self, way->print, PRINT_PRINTED, way->job, "");
}

/* True when the printer's word ends the way; the label is then marked. */
static bool is_over(struct print_thread *self, const struct way *way, const struct printer_standing *standing)
{
    switch (standing->state) {
    case PRINTER_JOB_COMPLETED:
        mark_completed(self, way, standing->certainty);
        return true;
    case PRINTER_JOB_CANCELED:
    case PRINTER_JOB_ABORTED:
        print_mark(self, way->print, way->cancel ? PRINT_WITHDRAWN : PRINT_FAILED, way->job, "");
        print_say(self, way->cancel ? "" : "The printer gave a label up: look at it, then reprint that label.");
        return true;
    default:
        return false;
    }
}

/* Tells the printer to drop the label when somebody said so since the last look; what became of it, the next poll says:
 * the printer may have been quicker. */
static void drop_when_told(struct print_thread *self, struct way *way)
{
    bool told;
    struct printer_standing standing;
    struct fault fault = {0};
    print_told(self, way->print, &told);
    if (!told)
        return;
    way->cancel = true;
    if (!printer_cancel(self->printer, way->job, way->name, &standing, &fault))
        print_say(self, fault.text);
}

/* One look at the label: true when its way is over, or the printer knows nothing of it (`*gone`). */
static bool look(struct print_thread *self, struct way *way, bool *gone)
{
    struct printer_standing standing;
    struct printer_facts facts;
    struct fault fault = {0};
    char words[PRINT_STATUS_SIZE] = "";
    *gone = false;
    if (!printer_follow(self->printer, way->job, way->name, &standing, &fault)) {
        (void)snprintf(words, sizeof words, "%.190s", fault.text);
    } else {
        *gone = standing.state == PRINTER_JOB_GONE;
        if (*gone || is_over(self, way, &standing))
            return true;
        if (printer_query(self->printer, &facts, &fault))
            print_reason_words(&facts.reasons, words, sizeof words);
        if (words[0] != '\0') /* it said why it waits: that is news */
            way->news = clock_mono_ms();
    }
    print_say(self, words);
    return false;
}

static void follow(struct print_thread *self, const struct print *print, const char *name, int job)
{
    struct way way = {.print = print, .name = name, .job = job, .news = clock_mono_ms()};
    const int64_t limit = (int64_t)self->options.ask_seconds * 1000;
    bool gone = false;
    while (!atomic_load(&self->stop) && !gone) {
        drop_when_told(self, &way);
        if (look(self, &way, &gone) && !gone)
            return;
        if (clock_mono_ms() - way.news > limit)
            break;
        if (!gone)
            print_rest(self, PRINT_POLL_MS);
    }
    if (!atomic_load(&self->stop))
        print_mark(self, print, PRINT_UNKNOWN, job,
                   "The printer lost track of a label. Did it come out? Scan it, or reprint it.");
}

/* Nothing of it went out. It waits again, unless nobody wants it any more. */
static enum print_state not_sent_state(struct print_thread *self, const struct print *print, const struct fault *fault)
{
    bool told;
    print_told(self, print, &told);
    if (told)
        return PRINT_WITHDRAWN;
    return fault->code == FAULT_INPUT ? PRINT_FAILED : PRINT_WAITING;
}

void print_send(struct print_thread *self, const struct print *print, const struct print_raster *raster)
{
    struct fault fault = {0};
    enum printer_sent sent = PRINTER_BUSY;
    int job = 0;
    if (!print_mark(self, print, PRINT_SENT, 0,
                    "")) /* durable before a byte goes out: a crash asks, and never prints twice */
        return;
    for (int i = 0; sent == PRINTER_BUSY && i < BUSY_TRIES && !atomic_load(&self->stop); i++) {
        if (i > 0)
            print_rest(self, PRINT_POLL_MS);
        sent = printer_send(self->printer, &raster->job, &job, &fault);
    }
    switch (sent) {
    case PRINTER_SENT:
        follow(self, print, raster->name, job);
        break;
    case PRINTER_BUSY:
    case PRINTER_NOT_SENT:
        print_say(self, fault.text);
        print_mark(self, print, not_sent_state(self, print, &fault), 0, "");
        print_rest(self, PRINT_RETRY_MS);
        break;
    case PRINTER_UNKNOWN:
        print_mark(self, print, PRINT_UNKNOWN, 0, fault.text);
        break;
    }
}
