#ifndef KIOSK_DESK_JOB_NEED_H
#define KIOSK_DESK_JOB_NEED_H

#include "kiosk/desk/thing.h"
#include "kiosk/desk/turn.h"

/* What the job of a check-out needs. When a vat or a cartridge goes to a printer where no job runs, the counter asks;
 * an amount's card answers, and is compared with what will be in the printer; UNKNOWN, or YES, says that nobody knows.
 * The first resin that comes to a job whose need is known is compared too. A script is not asked: it has said the need,
 * or it has none. What was answered stands in the counter until the group is closed. */

struct job_need_asking {
    const char *machine, *machine_name;
    const struct thing *things; /* that go there */
    size_t thing_count;
    const struct thing *inside; /* that are there */
    size_t inside_count;
    const struct job *running; /* there; NULL: none */
};

/* Adds its reasons. */
void job_need_add(const struct turn *turn, const struct job_need_asking *asking, struct verdict_list *list);
/* Is it being asked, or was it answered in a way that stopped? Then amounts have a meaning. */
bool job_need_is_asked(const struct counter *counter);
/* The card's amount, noted in the counter; false: it is no such card. It changes nothing where the ticket has said the
 * need (`told`), nor does UNKNOWN where what was said is too little: a stop is not answered by knowing less. */
bool job_need_note(struct counter *counter, const char *card, bool told);

#endif
