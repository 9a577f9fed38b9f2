#ifndef KIOSK_DESK_TICKET_H
#define KIOSK_DESK_TICKET_H

#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/job_ticket.h"
#include "kiosk/desk/turn.h"
#include "kiosk/rules/check_out.h"

/* A job's ticket at the counter. Scanned first, it says what goes out is for: each thing is judged at once, and the
 * ticket again, or a printer, closes the group. Scanned after the things it closes the group itself: badge, vat, ticket
 * are three scans. Until then the counter keeps it as it was read; what the kiosk has been told of the job counts more
 * than the paper. A job that nobody told the kiosk of is planned, and begins, when the group is closed. */

bool ticket_scanned(struct turn *turn, const struct job_label *label, struct fault *fault);
/* The code of a planned job, typed because its ticket cannot be read; `*found` false: none is planned of that code. */
bool ticket_typed(struct turn *turn, const char *code, bool *found, struct fault *fault);
/* The counter's ticket with what was scanned so far, or alone. */
bool ticket_show(struct turn *turn, struct fault *fault);
/* As scanned, for a script's check-out: of a job that is planned. FAULT_MISSING: none is. What it needs counts where
 * the script says nothing; FAULT_REFUSED: the script says less. */
bool ticket_of_script(struct turn *turn, const char *code, int64_t *need_ul, struct fault *fault);

/* What the counter's ticket means now. */
struct ticket_now {
    bool there;   /* a ticket was scanned */
    bool planned; /* the kiosk was told of the job: `job` is the row, `ticket` what it was told */
    bool runs;    /* it was, and has begun meanwhile: the same */
    bool is_old;  /* and the paper says otherwise */
    bool over;    /* it has ended, or was withdrawn: `last` is the row */
    struct job last;
    struct job job; /* else made of the ticket, without an id; its machine "" when that names none */
    struct job_ticket ticket;
};
bool ticket_now(struct ledger *ledger, const struct counter *counter, struct ticket_now *now, struct fault *fault);

/* Adds what speaks against these things for this job (kiosk/rules/job_match.h). `running`: the job that runs there by
 * the books, NULL none. */
bool ticket_judge(struct turn *turn, const struct ticket_now *now, const struct check_out_case *group,
                  const struct job *running, struct verdict_list *list, struct fault *fault);
/* "The ticket of …: scan it again, or the printer", and how much is there of what the job needs. */
bool ticket_next(struct turn *turn, const struct ticket_now *now, char *words, size_t size, struct fault *fault);

/* The group is closed: the job of the ticket, which does not run yet, runs on this printer from now on, with what was
 * said of it where the ticket says nothing. `id` is its id. Another one that ran there has ended. */
bool ticket_begin(struct turn *turn, const struct ticket_now *now, const char *machine, const struct job_said *said,
                  char id[JOB_SIZE], struct fault *fault);

/* Resin as a ticket names it: an item's code becomes the type and, where none is said, the revision of that item; a
 * type is written as the catalogue writes it. Unknown words stay. */
bool ticket_find_resin(struct ledger *ledger, char resin[NAME_SIZE], char revision[WORD_SIZE], struct fault *fault);

/* The view's `ticket`: null when there is none. */
bool ticket_view(struct ledger *ledger, const struct counter *counter, json_t **row, struct fault *fault);

#endif
