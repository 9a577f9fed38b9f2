#include "kiosk/desk/job_plan.h"

#include <string.h>

#include "kiosk/desk/device.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/print_queue.h"
#include "kiosk/ledger/movement_detail.h"

enum { UL_A_ML = 1000 };

/* ---- looking ---- */

struct search {
    const char *machine;
    struct job any, there;
    bool found_any, found_there;
};

static bool take_newest(const struct job *job, void *context)
{
    struct search *search = context;
    search->any = *job;
    search->found_any = true;
    if (strcmp(job->machine, search->machine) == 0) {
        search->there = *job;
        search->found_there = true;
    }
    return true;
}

bool job_plan_find(struct ledger *ledger, const char *code, const char *machine, struct job *job, bool *found,
                   struct fault *fault)
{
    struct search search = {.machine = machine};
    if (!job_each_planned_of_code(ledger, code, take_newest, &search, fault))
        return false;
    *found = search.found_any;
    if (search.found_any)
        *job = search.found_there ? search.there : search.any;
    return true;
}

static bool copy_movement(const struct movement *movement, void *context)
{
    *(struct movement *)context = *movement;
    return false;
}

static bool load_movement(struct ledger *ledger, int64_t seq, struct movement *movement, struct fault *fault)
{
    movement->seq = 0;
    if (!ledger_each(ledger, seq - 1, 1, copy_movement, movement, fault))
        return false;
    return movement->seq == seq ||
           fault_set(fault, FAULT_DAMAGED, "movement %lld is missing: run 'ambershelf verify'", (long long)seq);
}

bool job_plan_ticket(struct ledger *ledger, const struct job *job, struct job_ticket *ticket, struct fault *fault)
{
    struct movement movement;
    if (job->ticket != MOVEMENT_NULL)
        return load_movement(ledger, job->ticket, &movement, fault) && job_ticket_of(&movement, ticket, fault) &&
               ledger_text_get(ledger, movement.text, ticket->names, sizeof ticket->names, fault);
    *ticket = (struct job_ticket){.need_ul = job->need_ul, .end_day = job->end_day, .end_ms = job->end_ms};
    return true;
}

bool job_plan_of_ticket(struct ledger *ledger, int64_t seq, struct job *job, struct fault *fault)
{
    struct movement movement;
    bool found = false;
    return load_movement(ledger, seq, &movement, fault) && job_load(ledger, movement.job, job, &found, fault) &&
           (found || fault_set(fault, FAULT_MISSING, "label 'JOB/%lld' is no job's ticket: look at the list again",
                               (long long)seq));
}

void job_plan_words(const struct job_ticket *ticket, char words[JOB_PLAN_WORDS_SIZE])
{
    struct builder out;
    builder_init(&out, words, JOB_PLAN_WORDS_SIZE);
    if (ticket->need_ul != MOVEMENT_NULL)
        builder_addf(&out, "%g ml%s", (double)ticket->need_ul / UL_A_ML, ticket->resin[0] ? " of " : "");
    builder_addf(&out, "%s%s%s", ticket->resin, ticket->revision[0] ? " rev " : "", ticket->revision);
}

bool job_plan_was(struct ledger *ledger, const struct job *job, struct movement *plan, bool *was, struct fault *fault)
{
    json_t *detail = NULL;
    int64_t over;
    *was = false;
    if (job->ticket == MOVEMENT_NULL)
        return true;
    if (!load_movement(ledger, job->ticket, plan, fault) || !movement_detail_read(plan->detail, &detail, fault))
        return false;
    const bool read = movement_detail_number(detail, "over", &over, fault);
    json_decref(detail);
    if (!read ||
        (over != MOVEMENT_NULL && plan->kind == MOVEMENT_JOB_TICKET && !load_movement(ledger, over, plan, fault)))
        return false;
    *was = plan->kind == MOVEMENT_JOB_PLAN;
    return true;
}

/* ---- booking ---- */

static void of_job(struct movement *movement, enum movement_kind kind, const struct job *job)
{
    movement_init(movement, kind);
    turn_copy(movement->job, sizeof movement->job, job->id);
    turn_copy(movement->printer, sizeof movement->printer, job->machine);
}

bool job_plan_drop_ticket(struct turn *turn, const struct job *plan, struct fault *fault)
{
    char place[PLACE_SIZE];
    struct print newest;
    bool found;
    if (plan->ticket == MOVEMENT_NULL)
        return true;
    print_ticket_name(plan->ticket, place);
    return labels_newest(turn, "", place, &newest, &found, fault) && (!found || print_queue_drop(turn, &newest, fault));
}

bool job_plan_withdraw(struct turn *turn, const struct job *plan, const char *word, struct fault *fault)
{
    struct movement drop;
    of_job(&drop, MOVEMENT_JOB_DROP, plan);
    turn_copy(drop.word, sizeof drop.word, word);
    return turn_book(turn, &drop, fault) && job_plan_drop_ticket(turn, plan, fault);
}

bool job_plan_book(struct turn *turn, const struct job_ticket *ticket, const char *machine, struct job *job,
                   struct fault *fault)
{
    bool found;
    if (!job_plan_find(turn->ledger, ticket->code, "", job, &found, fault) ||
        (found &&
         (!device_may_speak_of(turn, job->machine, fault) || !job_plan_withdraw(turn, job, "replaced", fault))))
        return false;
    *job = (struct job){.need_ul = MOVEMENT_NULL, .end_day = MOVEMENT_NULL, .ticket = MOVEMENT_NULL};
    turn_copy(job->id, sizeof job->id, turn->act->act->id);
    turn_copy(job->machine, sizeof job->machine, machine);
    return job_ticket_book_as(turn, MOVEMENT_JOB_PLAN, job, ticket, fault) &&
           job_load(turn->ledger, job->id, job, &found, fault);
}

bool job_plan_begin(struct turn *turn, const struct job *plan, const char *machine, const struct job_said *said,
                    struct fault *fault)
{
    struct movement start;
    of_job(&start, MOVEMENT_JOB_START, plan);
    turn_copy(start.printer, sizeof start.printer, machine);
    if (said && plan->need_ul == MOVEMENT_NULL)
        start.amount_ul = said->need_ul;
    if (said && plan->end_day == MOVEMENT_NULL && plan->end_ms == MOVEMENT_NULL)
        start.expires = said->end_day;
    return turn_book(turn, &start, fault);
}

void job_plan_fill(struct job_ticket *ticket, const struct job_said *said)
{
    if (ticket->need_ul == MOVEMENT_NULL)
        ticket->need_ul = said->need_ul;
    if (ticket->end_day == MOVEMENT_NULL && ticket->end_ms == MOVEMENT_NULL)
        ticket->end_day = said->end_day;
}

bool job_plan_give_to(struct turn *turn, const struct job *plan, const struct job *running, const struct job_said *said,
                      struct fault *fault)
{
    struct job_ticket ticket;
    if (!job_plan_ticket(turn->ledger, plan, &ticket, fault) || !job_plan_withdraw(turn, plan, "replaced", fault))
        return false;
    if (said)
        job_plan_fill(&ticket, said);
    return job_ticket_book(turn, running, &ticket, fault);
}

bool job_plan_take_up(struct turn *turn, const struct job *job, const struct movement *done, struct fault *fault)
{
    struct movement plan, again;
    bool was;
    json_t *detail = NULL;
    if (!job_plan_was(turn->ledger, job, &plan, &was, fault))
        return false;
    if (!was)
        return fault_set(fault, FAULT_REFUSED, "job '%s' was never planned", job->code[0] ? job->code : job->id);
    of_job(&again, MOVEMENT_JOB_PLAN, job);
    turn_copy(again.printer, sizeof again.printer, plan.printer);
    again.refers = done->seq;
    again.amount_ul = plan.amount_ul;
    again.expires = plan.expires;
    if (!movement_detail_read(plan.detail, &detail, fault))
        return false;
    json_t *full = json_object();
    json_object_set(full, "code", json_object_get(detail, "code"));
    if (json_object_get(detail, "ends_ms"))
        json_object_set(full, "ends_ms", json_object_get(detail, "ends_ms"));
    if (plan.person[0] != '\0')
        json_object_set_new(full, "by", json_string(plan.person));
    json_object_set_new(full, "ticket", json_integer(plan.seq));
    const bool written = movement_detail_write(full, again.detail, fault);
    json_decref(full);
    json_decref(detail);
    return written && turn_book(turn, &again, fault);
}
