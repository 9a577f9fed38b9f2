#ifndef KIOSK_DESK_JOB_PLAN_H
#define KIOSK_DESK_JOB_PLAN_H

#include "kiosk/desk/job_ticket.h"
#include "kiosk/desk/turn.h"

/* A print that somebody prepares, at a desk or by a script, before anything leaves the storeroom: a job of the ledger
 * that has no start. Its ticket is printed, and scanned at the counter (ticket.h); the check-out starts it, or the
 * printer does by `job-start` with the same code. A second plan of a code takes the place of the first. */

/* The newest plan of this code that has not begun; one for `machine` ("": any) comes first. */
bool job_plan_find(struct ledger *ledger, const char *code, const char *machine, struct job *job, bool *found,
                   struct fault *fault);
/* What its ticket, or that of a job that runs, says. A job without a ticket says little. */
bool job_plan_ticket(struct ledger *ledger, const struct job *job, struct job_ticket *ticket, struct fault *fault);
/* The job whose ticket is movement `seq`. */
bool job_plan_of_ticket(struct ledger *ledger, int64_t seq, struct job *job, struct fault *fault);
/* "121 ml of Flint rev 2", as much as is known; "" nothing. */
enum { JOB_PLAN_WORDS_SIZE = 120 };
void job_plan_words(const struct job_ticket *ticket, char words[JOB_PLAN_WORDS_SIZE]);

/* Of a job when it begins, by a script's or the counter's check-out: it counts where the plan says nothing. */
struct job_said {
    int64_t need_ul, end_day; /* MOVEMENT_NULL: not said */
};

/* Books a plan under the act's id, in the place of one of the same code. */
bool job_plan_book(struct turn *turn, const struct job_ticket *ticket, const char *machine, struct job *job,
                   struct fault *fault);
/* It runs from now on, on this printer. `said` NULL: no more than the plan. */
bool job_plan_begin(struct turn *turn, const struct job *plan, const char *machine, const struct job_said *said,
                    struct fault *fault);
/* A job that runs there unnamed is the planned one: it gets the plan's ticket, and the plan is no more. */
bool job_plan_give_to(struct turn *turn, const struct job *plan, const struct job *running, const struct job_said *said,
                      struct fault *fault);
/* The ticket, with what was said where it says nothing. */
void job_plan_fill(struct job_ticket *ticket, const struct job_said *said);
/* It will not run; `word` dropped, replaced. Its ticket does not come out any more. */
bool job_plan_withdraw(struct turn *turn, const struct job *plan, const char *word, struct fault *fault);
bool job_plan_drop_ticket(struct turn *turn, const struct job *plan, struct fault *fault);

/* Was this job planned before it began? Then `*plan` is the movement that says how. */
bool job_plan_was(struct ledger *ledger, const struct job *job, struct movement *plan, bool *was, struct fault *fault);
/* It waits again as it was planned: `done` is its start, or its withdrawal, that is taken back. */
bool job_plan_take_up(struct turn *turn, const struct job *job, const struct movement *done, struct fault *fault);

bool job_plan_act(struct act_context *context, json_t **answer, struct fault *fault);         /* act "job-plan" */
bool job_drop_act(struct act_context *context, json_t **answer, struct fault *fault);         /* act "job-drop" */
bool job_ticket_print_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "job-ticket" */

#endif
