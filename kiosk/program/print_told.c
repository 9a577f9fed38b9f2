#include <string.h>

#include "kiosk/basics/log.h"
#include "kiosk/program/print_parts.h"

/* What a person told the printer is a movement like all else: the thread reads those that were booked since it last
 * looked. What was told before it started is past. */

struct told {
    const struct print *in_hand;
    int64_t seq; /* of the last movement read */
    bool go, cancel, calibration;
};

static bool is_of(const struct movement *movement, const struct print *print)
{
    return print && strcmp(movement->unit, print->unit) == 0 && strcmp(movement->place, print->place) == 0 &&
           movement->pieces == print->number;
}

static bool look(const struct movement *movement, void *context)
{
    struct told *told = context;
    told->seq = movement->seq;
    if (movement->kind != MOVEMENT_PRINT_TELL)
        return true;
    if (strcmp(movement->word, "go") == 0)
        told->go = true;
    else if (strcmp(movement->word, "calibration") == 0)
        told->calibration = true;
    else
        told->cancel = told->cancel || is_of(movement, told->in_hand);
    return true;
}

void print_told(struct print_thread *self, const struct print *in_hand, bool *cancel)
{
    struct told told = {.in_hand = in_hand, .seq = self->told_seq};
    struct fault fault = {0};
    *cancel = false;
    if (feed_last_seq(self->options.feed) <= self->told_seq || !print_ledger_open(self))
        return;
    if (!ledger_each(self->ledger, self->told_seq, INT64_MAX, look, &told, &fault)) {
        print_ledger_drop(self, &fault);
        return;
    }
    self->told_seq = told.seq;
    *cancel = told.cancel;
    self->wants_calibration = self->wants_calibration || told.calibration;
    /* a label that a stopped queue would send a second time is for a person to decide: the sentence names it */
    if (told.go && printer_resume(self->printer, PRINTER_BEGUN_ASK, &fault) != PRINTER_RESUMED) {
        print_say(self, fault.text);
        log_line(LOG_LEVEL_WARNING, "printing", "not set going: %s", fault.text);
    }
}
