#ifndef KIOSK_DESK_JOB_TICKET_H
#define KIOSK_DESK_JOB_TICKET_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/catalogue.h"

/* What a script, a slicer or a printer says of a job: the keys job, need_ml, ends, resin, revision, name, parts of the
 * act job-start. It becomes one movement "job-ticket": need and end day in its columns, code, resin, revision, end and
 * parts in its detail, the names of job and parts (who knows whose they are) in its erasable text, one a line.
 *
 * The detail's "parts" are numbers alone, a part parted from the next by one space:
 * COUNT:X:Y:WIDTH:DEPTH, micrometres from the platform's corner, "?" for what nobody said. */

enum {
    JOB_PARTS = 32,
    JOB_COUNT_MAX = 9999,
    JOB_MM_MAX = 2000,
    JOB_NAMES_SIZE = 1001,
    JOB_PARTS_SIZE = JOB_PARTS * 42
};

struct job_ticket {
    char code[JOB_CODE_SIZE];
    int64_t need_ul, end_day, end_ms; /* MOVEMENT_NULL: not said */
    char resin[NAME_SIZE], revision[WORD_SIZE];
    char names[JOB_NAMES_SIZE]; /* the job's, then each part's, one a line; "" when nobody named anything */
    char parts[JOB_PARTS_SIZE];
};

/* FAULT_INPUT names the key. */
bool job_ticket_read(const json_t *content, struct job_ticket *ticket, struct fault *fault);
/* Books it for a job that runs. Where that has a ticket, as one that was planned, it takes its place, and says what
 * that said wherever it says nothing itself. */
bool job_ticket_book(struct turn *turn, const struct job *job, const struct job_ticket *ticket, struct fault *fault);
/* The same movement as one of `kind`, for a job that is not there yet. */
bool job_ticket_book_as(struct turn *turn, enum movement_kind kind, const struct job *job,
                        const struct job_ticket *ticket, struct fault *fault);
/* What a movement of a ticket or of a plan says; the names are not looked up, "". */
bool job_ticket_of(const struct movement *movement, struct job_ticket *ticket, struct fault *fault);
/* The job's own name, empty when nobody named it; and how many parts were told, equal ones counted. */
struct span job_ticket_name(const struct job_ticket *ticket);
int64_t job_ticket_part_count(const struct job_ticket *ticket);
/* Does it say the same of the print, names apart? */
bool job_ticket_is_same(const struct job_ticket *one, const struct job_ticket *two);
/* Takes a ticket back: need and end day are again what they were before it. */
bool job_ticket_take_back(struct turn *turn, const struct movement *ticket, struct fault *fault);

#endif
