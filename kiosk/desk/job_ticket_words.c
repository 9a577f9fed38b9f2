#include "kiosk/desk/job_ticket_words.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "kiosk/desk/job_plan.h"

enum { UL_A_ML = 1000, S_A_MINUTE = 60, MS_A_SECOND = 1000 };

/* East of UTC, at that instant: summer time is not the same all year. */
static int local_offset(struct instant instant)
{
    const time_t seconds = (time_t)(instant.ms / MS_A_SECOND);
    struct tm local;
    return localtime_r(&seconds, &local) ? (int)(local.tm_gmtoff / S_A_MINUTE) : 0;
}

static void write_end(const struct job_ticket *ticket, char *text, size_t size)
{
    char date[CALENDAR_DATE_SIZE];
    struct builder out;
    builder_init(&out, text, size);
    if (ticket->end_ms == MOVEMENT_NULL) {
        if (ticket->end_day != MOVEMENT_NULL)
            builder_add(&out, calendar_write_date((struct day){(int32_t)ticket->end_day}, date));
        return;
    }
    const struct instant ends = {ticket->end_ms};
    const int offset = local_offset(ends);
    const struct ticket_time time = ticket_time_of(ends, offset);
    builder_addf(&out, "%sT%02d:%02d%c%02d:%02d", calendar_write_date(time.day, date), time.minute / 60,
                 time.minute % 60, offset < 0 ? '-' : '+', abs(offset) / 60, abs(offset) % 60);
}

bool job_ticket_words_load(struct ledger *ledger, int64_t seq, struct job_ticket_words *words, struct fault *fault)
{
    struct job job;
    struct job_ticket ticket;
    struct builder out;
    if (!job_plan_of_ticket(ledger, seq, &job, fault) || !job_plan_ticket(ledger, &job, &ticket, fault))
        return false;
    memset(words, 0, sizeof *words);
    if (!span_copy(span_of(job.code), words->code, sizeof words->code))
        return fault_set(fault, FAULT_INPUT, "job '%s' has more than %d characters: a ticket's symbol holds no more",
                         job.code, JOB_LABEL_CODE_SIZE - 1);
    if (job_label_printer_fits(span_of(job.machine)))
        turn_copy(words->printer, sizeof words->printer, job.machine);
    turn_copy(words->resin, sizeof words->resin, ticket.resin);
    words->resin_fits = job_label_resin_fits(span_of(ticket.resin));
    if (job_label_revision_fits(span_of(ticket.revision)))
        turn_copy(words->revision, sizeof words->revision, ticket.revision);
    builder_init(&out, words->need_ml, sizeof words->need_ml);
    if (ticket.need_ul != MOVEMENT_NULL && ticket.need_ul > 0)
        builder_addf(&out, "%lld", (long long)(ticket.need_ul + UL_A_ML - 1) / UL_A_ML);
    write_end(&ticket, words->ends, sizeof words->ends);
    (void)span_copy(job_ticket_name(&ticket), words->name, sizeof words->name);
    return true;
}
