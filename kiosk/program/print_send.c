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
    const struct printer_reasons *before; /* what the printer said of itself before; NULL: not known */
    bool cancel;                          /* a person wants it dropped */
    bool taken_back;                      /* its queue would have printed it once more */
    bool marked;                          /* its end is booked */
    int64_t sent;                         /* monotonic: before a byte went out; or PRINTER_SENT_EARLIER */
    int64_t news;                         /* monotonic: when the printer last said something that explains the wait */
};

static void mark(struct print_thread *self, struct way *way, enum print_state state, const char *note)
{
    way->marked = print_mark(self, way->print, state, way->job, note);
}

/* "Completed" is what was claimed; a queue says it also of a label that its printer gave up, lost or printed twice, so
 * the printer behind it has the last word. */
static enum printer_certainty how_completed(const struct print_thread *self, const struct way *way,
                                            const struct printer_standing *standing)
{
    enum printer_certainty certainty = printer_standing_since(standing, way->before);
    if (certainty != PRINTER_CAME_OUT_TWICE)
        (void)printer_ask_behind(self->printer, way->name, way->sent, &certainty);
    return certainty;
}

/* False: the printer still has it, whatever its queue says. */
static bool mark_completed(struct print_thread *self, struct way *way, const struct printer_standing *standing)
{
    const enum printer_certainty certainty = how_completed(self, way, standing);
    if (certainty == PRINTER_UNDER_WAY)
        return false;
    print_say(self, "");
    if (certainty == PRINTER_CAME_OUT_TWICE)
        mark(self, way, PRINT_UNKNOWN,
             "The printer may have printed a label twice. Scan the one you stick on, and destroy the other.");
    else if (certainty == PRINTER_MAY_HAVE)
        mark(self, way, PRINT_UNKNOWN, "The printer may have lost a label. Did it come out? Scan it, or reprint it.");
    else
        mark(self, way, PRINT_PRINTED, "");
    return true;
}

/* The printer lost sight of it, or ended it for the reason that we gave. */
static void mark_unknown(struct print_thread *self, struct way *way)
{
    mark(self, way, PRINT_UNKNOWN,
         way->taken_back ? "The queue stopped in the middle of a label and would have printed it once more; it was "
                           "taken back. Did it come out? Scan it, or reprint it."
                         : "The printer lost track of a label. Did it come out? Scan it, or reprint it.");
}

static void mark_dropped(struct print_thread *self, struct way *way)
{
    const bool meant = way->cancel || way->taken_back;
    if (way->cancel)
        mark(self, way, PRINT_WITHDRAWN, "");
    else if (way->taken_back)
        mark_unknown(self, way);
    else
        mark(self, way, PRINT_FAILED, "");
    print_say(self, meant ? "" : "The printer gave a label up: look at it, then reprint that label.");
}

/* True when the printer's word ends the way; the label is then marked. */
static bool is_over(struct print_thread *self, struct way *way, const struct printer_standing *standing)
{
    switch (standing->state) {
    case PRINTER_JOB_COMPLETED:
        return mark_completed(self, way, standing);
    case PRINTER_JOB_CANCELED:
    case PRINTER_JOB_ABORTED:
        mark_dropped(self, way);
        return true;
    case PRINTER_JOB_GONE:
        mark_unknown(self, way);
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

/* A queue that stopped in the middle of a label prints it from its beginning as soon as it goes on, and somebody may
 * set it going at any moment: it is taken back at once. `*standing`: how it is then, for it may have been quicker. */
static bool take_back(struct print_thread *self, struct way *way, struct printer_standing *standing,
                      struct fault *fault)
{
    if (!printer_cancel(self->printer, way->job, way->name, standing, fault))
        return false;
    way->taken_back = true;
    return true;
}

/* One look at the label: true when its way is over. */
static bool look(struct print_thread *self, struct way *way)
{
    struct printer_standing standing;
    struct printer_facts facts;
    struct fault fault = {0};
    char words[PRINT_STATUS_SIZE] = "";
    if (!printer_follow(self->printer, way->job, way->name, &standing, &fault)) {
        print_say(self, fault.text);
        return false;
    }
    if (standing.starts_over && !take_back(self, way, &standing, &fault))
        (void)snprintf(words, sizeof words, "%s", fault.text); /* a person has to cancel it there */
    if (is_over(self, way, &standing))
        return true;
    if (words[0] == '\0' && printer_query(self->printer, &facts, &fault))
        print_reason_words(&facts.reasons, words, sizeof words);
    if (words[0] != '\0') /* it said why it waits: that is news */
        way->news = clock_mono_ms();
    print_say(self, words);
    return false;
}

/* True once the label's end is booked; false when the daemon ends first, or the ledger does not take it. */
static bool follow(struct print_thread *self, struct way way)
{
    const int64_t limit = (int64_t)self->options.ask_seconds * 1000;
    way.news = clock_mono_ms();
    while (!atomic_load(&self->stop)) {
        drop_when_told(self, &way);
        if (look(self, &way))
            break;
        if (clock_mono_ms() - way.news > limit) {
            mark_unknown(self, &way);
            break;
        }
        print_rest(self, PRINT_POLL_MS);
    }
    return way.marked;
}

/* Nothing of it went out. It waits again, unless nobody wants it any more. */
static enum print_state not_sent_state(struct print_thread *self, const struct print *print, const struct fault *fault)
{
    bool told;
    print_told(self, print, &told);
    if (told)
        return PRINT_WITHDRAWN;
    const bool wishes = self->options.darkness != 0 || self->options.speed != 0 ||
                        self->options.tracking != PRINTER_TRACKING_UNSAID; /* the label is not to blame */
    return fault->code == FAULT_INPUT && !wishes ? PRINT_FAILED : PRINT_WAITING;
}

/* Looks for a label by its name once the printer answers again. One that has just woken may read the label after our
 * question, so its "no" counts when it still says so a while later. 0: nobody knows it. */
static int find_job(struct print_thread *self, const char *name)
{
    const int64_t began = clock_mono_ms(), limit = (int64_t)self->options.ask_seconds * 1000;
    int64_t denied = -1; /* since when */
    while (!atomic_load(&self->stop) && clock_mono_ms() - began <= limit) {
        struct printer_standing standing;
        struct fault fault = {0};
        bool found = false;
        const bool answers = printer_find(self->printer, name, &standing, &found, &fault);
        print_say(self, answers ? "" : fault.text);
        if (found)
            return standing.job_id;
        if (answers && denied >= 0 && clock_mono_ms() - denied >= PRINT_RETRY_MS)
            return 0;
        if (answers && denied < 0)
            denied = clock_mono_ms();
        print_rest(self, PRINT_POLL_MS);
    }
    return 0;
}

/* Bytes of it went out and no clear answer came. When the daemon ends meanwhile, its next start looks. */
static void settle_unanswered(struct print_thread *self, struct way way)
{
    way.job = find_job(self, way.name);
    if (way.job > 0)
        (void)follow(self, way);
    else if (!atomic_load(&self->stop))
        mark(self, &way, PRINT_UNKNOWN,
             "The printer did not say what became of a label. Did it come out? Scan it, or reprint it.");
}

void print_send(struct print_thread *self, const struct print *print, const struct print_raster *raster,
                const struct printer_reasons *before)
{
    struct fault fault = {0};
    enum printer_sent sent = PRINTER_BUSY;
    struct way way = {.print = print, .name = raster->name, .before = before, .sent = clock_mono_ms()};
    struct print drawn = *print;
    memcpy(drawn.label_template, raster->template_name, sizeof raster->template_name);
    if (!print_mark(self, &drawn, PRINT_SENT, 0,
                    "")) /* durable before a byte goes out: a crash asks, and never prints twice */
        return;
    for (int i = 0; sent == PRINTER_BUSY && i < BUSY_TRIES && !atomic_load(&self->stop); i++) {
        if (i > 0)
            print_rest(self, PRINT_POLL_MS);
        sent = printer_send(self->printer, &raster->job, &way.job, &fault);
    }
    switch (sent) {
    case PRINTER_SENT:
        (void)follow(self, way);
        break;
    case PRINTER_BUSY:
    case PRINTER_NOT_SENT:
        print_say(self, fault.text);
        print_mark(self, print, not_sent_state(self, print, &fault), 0, "");
        print_rest(self, PRINT_RETRY_MS);
        break;
    case PRINTER_UNKNOWN:
        print_say(self, fault.text);
        settle_unanswered(self, way);
        break;
    }
}

bool print_settle_sent(struct print_thread *self, const struct print *print, bool *answers)
{
    char name[PRINT_LABEL_NAME_SIZE], note[160];
    struct printer_standing standing;
    struct fault fault = {0};
    bool found = false;
    print_label_name(print, name);
    *answers = *answers && printer_find(self->printer, name, &standing, &found, &fault);
    if (found)
        return follow(self,
                      (struct way){.print = print, .name = name, .job = standing.job_id, .sent = PRINTER_SENT_EARLIER});
    (void)snprintf(note, sizeof note,
                   "The kiosk stopped while the label of %s%s was being sent. Did it come out? Scan it, or reprint it.",
                   print->unit, print->place);
    return print_mark(self, print, PRINT_UNKNOWN, 0, note);
}
