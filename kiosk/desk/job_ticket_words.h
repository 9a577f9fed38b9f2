#ifndef KIOSK_DESK_JOB_TICKET_WORDS_H
#define KIOSK_DESK_JOB_TICKET_WORDS_H

#include "kiosk/desk/job_ticket.h"
#include "labels/content/job_label.h"

/* What stands on a job's printed ticket. What its symbol cannot hold is left out, or stands in words only: the kiosk
 * that printed the ticket knows the job. */

struct job_ticket_words {
    char code[JOB_LABEL_CODE_SIZE];
    char printer[PRINTER_SIZE];
    char resin[NAME_SIZE];
    bool resin_fits; /* the symbol */
    char revision[JOB_LABEL_REVISION_SIZE];
    char need_ml[16]; /* whole millilitres, rounded up */
    char ends[32];    /* by the clock of the machine that prints */
    char name[NAME_SIZE];
};

/* Of the job whose ticket is movement `seq`. */
bool job_ticket_words_load(struct ledger *ledger, int64_t seq, struct job_ticket_words *words, struct fault *fault);

#endif
