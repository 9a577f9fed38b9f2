#include "kiosk/desk/job_plan.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/device.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/ticket.h"
#include "labels/content/job_label.h"

/* ---- job-plan ---- */

static bool read_plan(struct turn *turn, char machine[PRINTER_SIZE], struct job_ticket *ticket, bool *print,
                      struct fault *fault)
{
    static const char *const keys[] = {"job",      "printer", "need_ml", "ends",  "resin",
                                       "revision", "name",    "parts",   "print", NULL};
    const json_t *content = turn->act->act->content;
    struct machine known;
    bool found;
    if (!content_only(content, keys, fault) ||
        !content_code(content, "job", CONTENT_REQUIRED, ticket->code, sizeof ticket->code, fault) ||
        !content_code(content, "printer", CONTENT_REQUIRED, machine, PRINTER_SIZE, fault) ||
        !content_flag(content, "print", print, fault) || !job_ticket_read(content, ticket, fault))
        return false;
    if (!job_label_code_fits(span_of(ticket->code)))
        return fault_set(fault, FAULT_INPUT, "'job' has more than %d characters: a ticket's symbol holds no more",
                         JOB_LABEL_CODE_SIZE - 1);
    if (!machine_load(turn->ledger, machine, &known, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "printer '%s' is not known: enter it first", machine);
    return ticket_find_resin(turn->ledger, ticket->resin, ticket->revision, fault) &&
           device_may_speak_of(turn, machine, fault);
}

struct running {
    struct job job;
    bool found;
};

static bool take_running(const struct job *job, void *context)
{
    struct running *running = context;
    running->job = *job;
    running->found = true;
    return true;
}

/* It runs already, and is to be printed once more, or the plan came late: nobody knows which but the storekeeper. */
static bool ask_about_running(struct turn *turn, const struct job *job, const struct job_ticket *before,
                              const struct job_ticket *ticket, struct fault *fault)
{
    char was[JOB_PLAN_WORDS_SIZE], is[JOB_PLAN_WORDS_SIZE], note[COUNTER_TITLE_SIZE];
    struct builder out;
    job_plan_words(before, was);
    job_plan_words(ticket, is);
    builder_init(&out, note, sizeof note);
    builder_addf(&out,
                 "Job %s runs on %s (%s) and was planned anew (%s): is it to be printed again, or was it changed?",
                 job->code, job->machine, was[0] ? was : "no more is known", is[0] ? is : "no more is known");
    text_end_whole(note);
    return turn_question(turn, "job-planned-late", "", note, fault);
}

/* `*done`: nothing is to be booked, for the same thing is so already, and `*job` is it. */
static bool look_before(struct turn *turn, const struct job_ticket *ticket, const char *machine, struct job *job,
                        bool *done, struct fault *fault)
{
    struct running running = {.found = false};
    struct job_ticket before;
    bool found;
    *done = false;
    if (!job_plan_find(turn->ledger, ticket->code, machine, job, &found, fault))
        return false;
    if (found) {
        if (!job_plan_ticket(turn->ledger, job, &before, fault))
            return false;
        *done = strcmp(job->machine, machine) == 0 && job_ticket_is_same(&before, ticket) &&
                strcmp(before.names, ticket->names) == 0;
        return true;
    }
    if (!job_each_running_of_code(turn->ledger, ticket->code, take_running, &running, fault))
        return false;
    if (!running.found)
        return true;
    *job = running.job;
    if (!job_plan_ticket(turn->ledger, job, &before, fault))
        return false;
    *done = strcmp(job->machine, machine) == 0 && job_ticket_is_same(&before, ticket);
    return *done || ask_about_running(turn, job, &before, ticket, fault);
}

static bool order_ticket(struct turn *turn, const struct job *job, struct fault *fault)
{
    char place[PLACE_SIZE];
    struct print newest;
    bool found;
    print_ticket_name(job->ticket, place);
    if (!labels_newest(turn, "", place, &newest, &found, fault))
        return false;
    return (found && newest.state == PRINT_WAITING) || labels_order_place(turn, place, fault);
}

bool job_plan_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct job_ticket ticket;
    struct job job;
    char machine[PRINTER_SIZE], words[JOB_PLAN_WORDS_SIZE];
    bool print, done;
    if (!turn_begin(context, &turn, fault) || !read_plan(&turn, machine, &ticket, &print, fault) ||
        !look_before(&turn, &ticket, machine, &job, &done, fault) ||
        (!done && !job_plan_book(&turn, &ticket, machine, &job, fault)) ||
        (print && job.ticket != MOVEMENT_NULL && !order_ticket(&turn, &job, fault)))
        return false;
    job_plan_words(&ticket, words);
    counter_say(&turn.counter, "%s: job %s on %s%s%s.%s",
                !done                             ? "Planned"
                : job.started_ms != MOVEMENT_NULL ? "Runs already"
                                                  : "Planned before, and the same",
                job.code, machine, words[0] ? ", " : "", words, print ? " Its ticket is ordered." : "");
    if (!turn_answer(&turn, answer, fault))
        return false;
    (void)json_object_set_new(*answer, "job", json_string(job.id));
    return true;
}

/* ---- job-drop, job-ticket ---- */

/* By its id, or by its code: the one that is planned, else the one that runs. */
static bool find(struct turn *turn, struct job *job, struct fault *fault)
{
    static const char *const keys[] = {"job", NULL};
    const json_t *content = turn->act->act->content;
    struct running running = {.found = false};
    char id[JOB_SIZE], code[JOB_CODE_SIZE];
    bool found;
    if (!content_only(content, keys, fault) || !content_text(content, "job", CONTENT_REQUIRED, id, sizeof id, fault) ||
        !job_load(turn->ledger, id, job, &found, fault))
        return false;
    if (!found && (!content_code(content, "job", CONTENT_REQUIRED, code, sizeof code, fault) ||
                   !job_plan_find(turn->ledger, code, "", job, &found, fault)))
        return false;
    if (!found && !job_each_running_of_code(turn->ledger, code, take_running, &running, fault))
        return false;
    if (running.found)
        *job = running.job;
    if (!found && !running.found)
        return fault_set(fault, FAULT_MISSING, "no job '%s' is planned, and none runs: look at the list again", id);
    return device_may_speak_of(turn, job->machine, fault);
}

bool job_drop_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct job job;
    if (!turn_begin(context, &turn, fault) || !find(&turn, &job, fault))
        return false;
    const char *name = job.code[0] ? job.code : job.id;
    if (job.ended_ms != MOVEMENT_NULL)
        return fault_set(fault, FAULT_CONFLICT, "job '%s' is over: there is no plan to withdraw", name);
    if (job.started_ms != MOVEMENT_NULL)
        return fault_set(fault, FAULT_CONFLICT, "job '%s' runs on %s: say how it ended instead", name, job.machine);
    if (!job_plan_withdraw(&turn, &job, "dropped", fault))
        return false;
    counter_say(&turn.counter, "Withdrawn: job %s on %s. Throw its ticket away.", name, job.machine);
    return turn_answer(&turn, answer, fault);
}

bool job_ticket_print_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct job job;
    if (!turn_begin(context, &turn, fault) || !find(&turn, &job, fault))
        return false;
    if (job.ticket == MOVEMENT_NULL || job.code[0] == '\0')
        return fault_set(fault, FAULT_REFUSED, "job '%s' has no code: nobody could scan its ticket", job.id);
    if (!job_label_code_fits(span_of(job.code)))
        return fault_set(fault, FAULT_REFUSED,
                         "code '%s' has more than %d characters, or others than a ticket's symbol holds: nobody could "
                         "scan its ticket",
                         job.code, JOB_LABEL_CODE_SIZE - 1);
    if (!order_ticket(&turn, &job, fault))
        return false;
    counter_say(&turn.counter, "The ticket of job %s is ordered.", job.code);
    return turn_answer(&turn, answer, fault);
}
