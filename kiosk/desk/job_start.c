#include "kiosk/desk/job_start.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/device.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/job_ticket.h"
#include "kiosk/desk/job_use.h"
#include "kiosk/desk/substitutes.h"
#include "kiosk/desk/supply.h"

/* Was it this very job that a check-out has started, by its plan? Then the printer says so once more, and knows more; a
 * printer that does not know the job's code means the one that is there. */
static bool is_planned_one(struct turn *turn, const struct job *job, const struct job_ticket *ticket, bool *is,
                           struct fault *fault)
{
    struct movement plan;
    if (!job_plan_was(turn->ledger, job, &plan, is, fault))
        return false;
    *is = *is && plan.seq == job->ticket && (ticket->code[0] == '\0' || strcmp(job->code, ticket->code) == 0);
    return true;
}

/* It prints, wherever it was to be printed: that is a question, not a refusal. */
static bool compare_printer(struct turn *turn, const struct job *plan, const char *machine, struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    if (strcmp(plan->machine, machine) == 0)
        return true;
    builder_init(&out, note, sizeof note);
    builder_addf(&out,
                 "Job %s was planned for %s, and %s has begun to print it: did it move there, or is it another one of "
                 "that name?",
                 plan->code, plan->machine, machine);
    text_end_whole(note);
    return turn_question(turn, "job-other-printer", "", note, fault);
}

/* One that runs there. A plan of the same code was for it. */
static bool take_over(struct turn *turn, struct job *job, const struct job *plan, bool planned,
                      const struct job_ticket *ticket, struct fault *fault)
{
    bool same;
    if (job->ticket == MOVEMENT_NULL)
        return !planned ||
               (compare_printer(turn, plan, job->machine, fault) && job_plan_give_to(turn, plan, job, NULL, fault) &&
                job_load(turn->ledger, job->id, job, &same, fault));
    if (!is_planned_one(turn, job, ticket, &same, fault))
        return false;
    return same || fault_set(fault, FAULT_CONFLICT, "%s runs job %s by the books: say first how that one ended",
                             job->machine, job->code[0] ? job->code : job->id);
}

/* The job that the ticket is for: the one a check-out opened, the one that was planned, or a new one, known by this
 * act. */
static bool open_job(struct turn *turn, const char *machine, const struct job_ticket *ticket, struct job *job,
                     struct fault *fault)
{
    struct movement start;
    struct job plan;
    bool found, planned = false;
    if ((ticket->code[0] != '\0' && !job_plan_find(turn->ledger, ticket->code, machine, &plan, &planned, fault)) ||
        !job_load_running(turn->ledger, machine, job, &found, fault))
        return false;
    if (found)
        return take_over(turn, job, &plan, planned, ticket, fault);
    if (planned)
        return compare_printer(turn, &plan, machine, fault) && job_plan_begin(turn, &plan, machine, NULL, fault) &&
               supply_book(turn, machine, plan.id, fault) && job_load(turn->ledger, plan.id, job, &found, fault);
    movement_init(&start, MOVEMENT_JOB_START);
    turn_copy(start.job, sizeof start.job, turn->act->act->id);
    turn_copy(start.printer, sizeof start.printer, machine);
    start.amount_ul = ticket->need_ul;
    start.expires = ticket->end_day;
    return turn_book(turn, &start, fault) && supply_book(turn, machine, start.job, fault) &&
           job_load(turn->ledger, start.job, job, &found, fault);
}

/* Does the room's table let what is in the vat stand in for what the ticket asks? */
static bool judge_revision(struct turn *turn, const char *vat, const struct item *resin,
                           const struct job_ticket *ticket, struct verdict_list *list,
                           char over[SUBSTITUTION_OVER_SIZE], struct fault *fault)
{
    struct substitutes substitutes;
    const bool read = substitutes_load(turn, &substitutes, fault);
    if (read)
        (void)substitution_add(&(struct substitution_case){.table = &substitutes.table,
                                                           .resin = ticket->resin,
                                                           .wanted = ticket->revision,
                                                           .given = resin->revision,
                                                           .today = turn->act->moment.local_day,
                                                           .clock_trusted = turn->act->moment.trusted},
                               vat, list, over);
    substitutes_free(&substitutes);
    return read;
}

/* The printer prints what is in its vat, whatever the ticket says: that is a question, not a refusal. What stands in
 * for it by the room's table is a note in `list`. */
static bool compare_resin(struct turn *turn, const struct job *job, const struct job_ticket *ticket,
                          struct verdict_list *list, struct fault *fault)
{
    struct job_inside inside;
    struct unit vat;
    struct item resin;
    bool found;
    char note[COUNTER_TITLE_SIZE], over[SUBSTITUTION_OVER_SIZE] = "";
    struct builder out;
    if (ticket->resin[0] == '\0')
        return true;
    if (!job_use_inside(turn, job->machine, &inside, fault))
        return false;
    if (inside.vat[0] == '\0')
        return true;
    if (!unit_load(turn->ledger, inside.vat, &vat, &found, fault))
        return false;
    if (!found || vat.resin[0] == '\0')
        return true;
    if (!item_load(turn->ledger, vat.resin, &resin, &found, fault))
        return false;
    if (!found || (strcmp(resin.resin, ticket->resin) == 0 &&
                   (ticket->revision[0] == '\0' || strcmp(resin.revision, ticket->revision) == 0)))
        return true;
    if (strcmp(resin.resin, ticket->resin) == 0 && !judge_revision(turn, vat.serial, &resin, ticket, list, over, fault))
        return false;
    if (list->count > 0 && list->verdict == VERDICT_GO)
        return true;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "Job %s on %s is for %s%s%s; %s there holds %s%s%s.%s%s",
                 job->code[0] ? job->code : "without a name", job->machine, ticket->resin,
                 ticket->revision[0] ? " revision " : "", ticket->revision, vat.serial, resin.resin,
                 resin.revision[0] ? " revision " : "", resin.revision, over,
                 list->count > 0 ? " It stands in for that, if the kiosk's clock is right." : "");
    text_end_whole(note);
    return turn_question(turn, "job-other-resin", vat.serial, note, fault);
}

bool job_start_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"job", "printer", "need_ml", "ends", "resin", "revision", "name", "parts", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct job_ticket ticket;
    struct machine machine;
    struct job job;
    struct verdict_list notes = {.verdict = VERDICT_GO};
    char code[PRINTER_SIZE];
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "printer", CONTENT_REQUIRED, code, sizeof code, fault) ||
        !job_ticket_read(content, &ticket, fault) || !machine_load(turn.ledger, code, &machine, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "printer '%s' is not known: enter it first", code);
    if (!device_may_speak_of(&turn, code, fault) || !open_job(&turn, code, &ticket, &job, fault) ||
        !job_ticket_book(&turn, &job, &ticket, fault) || !job_load(turn.ledger, job.id, &job, &found, fault) ||
        !job_use_fill(&turn, &job, fault) || !compare_resin(&turn, &job, &ticket, &notes, fault))
        return false;
    counter_say(&turn.counter, "Booked: job %s runs on %s.", job.code[0] ? job.code : "without a name",
                machine.name[0] ? machine.name : code);
    verdict_add_notes(&turn.counter.verdict, &notes);
    if (!turn_answer(&turn, answer, fault))
        return false;
    (void)json_object_set_new(*answer, "job", json_string(job.id));
    return true;
}
