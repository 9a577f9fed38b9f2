#include "kiosk/desk/ticket.h"

#include <string.h>

#include "kiosk/desk/check_out.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/thing.h"
#include "kiosk/rules/job_match.h"

enum { UL_A_ML = 1000, MS_A_MINUTE = 60000 };

/* ---- what it means now ---- */

static int letter_of(int c)
{
    return c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c;
}

static bool same_letters(const char *one, const char *two)
{
    while (*one && letter_of((unsigned char)*one) == letter_of((unsigned char)*two)) {
        one++;
        two++;
    }
    return *one == *two;
}

struct resin_search {
    const char *word;
    char spelling[NAME_SIZE];
};

static bool look_at_resin(const struct item *item, void *context)
{
    struct resin_search *search = context;
    if (item->resin[0] == '\0' || !same_letters(item->resin, search->word))
        return true;
    turn_copy(search->spelling, sizeof search->spelling, item->resin);
    return strcmp(item->resin, search->word) != 0; /* its own spelling is the best there can be */
}

bool ticket_find_resin(struct ledger *ledger, char resin[NAME_SIZE], char revision[WORD_SIZE], struct fault *fault)
{
    struct resin_search search = {.word = resin};
    struct item item;
    bool found = false;
    if (resin[0] == '\0')
        return true;
    if (strlen(resin) < sizeof item.code && !item_load(ledger, resin, &item, &found, fault))
        return false;
    if (found && item.resin[0] != '\0') {
        turn_copy(resin, NAME_SIZE, item.resin);
        if (revision[0] == '\0')
            turn_copy(revision, WORD_SIZE, item.revision);
        return true;
    }
    if (!item_each(ledger, look_at_resin, &search, fault))
        return false;
    if (search.spelling[0] != '\0')
        turn_copy(resin, NAME_SIZE, search.spelling);
    return true;
}

/* As far as the paper goes. */
static bool read_label(struct ledger *ledger, const struct job_label *label, struct ticket_now *now,
                       struct fault *fault)
{
    struct instant ends;
    now->ticket = (struct job_ticket){.need_ul = MOVEMENT_NULL, .end_day = MOVEMENT_NULL, .end_ms = MOVEMENT_NULL};
    turn_copy(now->ticket.code, sizeof now->ticket.code, label->code);
    turn_copy(now->ticket.resin, sizeof now->ticket.resin, label->resin);
    turn_copy(now->ticket.revision, sizeof now->ticket.revision, label->revision);
    if (label->need_ml > 0)
        now->ticket.need_ul = (int64_t)label->need_ml * UL_A_ML;
    if (label->has_ends && ticket_time_instant(&label->ends, &ends))
        now->ticket.end_ms = ends.ms;
    else if (label->has_ends)
        now->ticket.end_day = label->ends.day.number;
    now->job = (struct job){.started_ms = MOVEMENT_NULL,
                            .ended_ms = MOVEMENT_NULL,
                            .need_ul = now->ticket.need_ul,
                            .end_day = now->ticket.end_day,
                            .end_ms = now->ticket.end_ms,
                            .minutes = MOVEMENT_NULL,
                            .ticket = MOVEMENT_NULL,
                            .used_ul = MOVEMENT_NULL};
    turn_copy(now->job.code, sizeof now->job.code, label->code);
    turn_copy(now->job.machine, sizeof now->job.machine, label->printer);
    return ticket_find_resin(ledger, now->ticket.resin, now->ticket.revision, fault);
}

/* Whole millilitres, as they are printed. */
static int64_t ml_up(int64_t amount_ul)
{
    return (amount_ul + UL_A_ML - 1) / UL_A_ML;
}

/* Does the paper say something that the plan does not say (any more)? */
static bool says_otherwise(const struct job *paper_job, const struct job_ticket *paper, const struct job *job,
                           const struct job_ticket *plan)
{
    return (paper_job->machine[0] && strcmp(paper_job->machine, job->machine) != 0) ||
           (paper->need_ul != MOVEMENT_NULL &&
            (plan->need_ul == MOVEMENT_NULL || ml_up(paper->need_ul) != ml_up(plan->need_ul))) ||
           (paper->resin[0] && strcmp(paper->resin, plan->resin) != 0) ||
           (paper->revision[0] && strcmp(paper->revision, plan->revision) != 0) ||
           (paper->end_day != MOVEMENT_NULL && paper->end_day != plan->end_day) ||
           (paper->end_ms != MOVEMENT_NULL &&
            (plan->end_ms == MOVEMENT_NULL || paper->end_ms / MS_A_MINUTE != plan->end_ms / MS_A_MINUTE));
}

struct running_search {
    const char *machine; /* it is wanted on */
    struct job job;
    bool found;
};

static bool take_running(const struct job *job, void *context)
{
    struct running_search *search = context;
    if (!search->found || strcmp(job->machine, search->machine) == 0)
        search->job = *job;
    search->found = true;
    return true;
}

/* Of a job that is not planned: it runs, or is over. Else the kiosk was never told of it. */
static bool find_past_plans(struct ledger *ledger, const struct counter *counter, const char *code,
                            struct ticket_now *now, struct fault *fault)
{
    struct running_search search = {.machine = counter->place};
    if (!job_each_running_of_code(ledger, code, take_running, &search, fault))
        return false;
    now->runs = search.found;
    if (now->runs) {
        now->job = search.job;
        if (!job_plan_ticket(ledger, &search.job, &now->ticket, fault))
            return false;
        job_plan_fill(&now->ticket, &(struct job_said){search.job.need_ul, search.job.end_day});
        return true;
    }
    return job_last_of_code(ledger, code, &now->last, &now->over, fault);
}

/* "Job KQ-1042 is over on CAPSTAN: failed." */
static void say_over(const struct job *job, char *sentence, size_t size)
{
    const bool dropped = job->started_ms == MOVEMENT_NULL;
    struct builder out;
    builder_init(&out, sentence, size);
    builder_addf(&out, "Job %s %s%s%s%s.", job->code, dropped ? "was withdrawn before it began" : "is over on ",
                 dropped ? "" : job->machine, !dropped && job->outcome[0] ? ": " : "", dropped ? "" : job->outcome);
}

bool ticket_now(struct ledger *ledger, const struct counter *counter, struct ticket_now *now, struct fault *fault)
{
    const struct job_label *label = &counter->ticket;
    struct job_ticket plan;
    struct job job;
    memset(now, 0, sizeof *now);
    now->there = label->code[0] != '\0';
    if (!now->there)
        return true;
    if (!read_label(ledger, label, now, fault) ||
        !job_plan_find(ledger, label->code, label->printer, &job, &now->planned, fault))
        return false;
    if (!now->planned)
        return find_past_plans(ledger, counter, label->code, now, fault);
    if (!job_plan_ticket(ledger, &job, &plan, fault))
        return false;
    now->is_old = says_otherwise(&now->job, &now->ticket, &job, &plan);
    now->job = job;
    now->ticket = plan;
    return true;
}

/* ---- the scan ---- */

/* Nobody has planned it: it runs, or is over, or nobody told of it. `*say`: the counter says so, and the ticket is not
 * taken. */
static bool look_past_plans(struct turn *turn, const struct job_label *label, bool *say, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct ticket_now now = {.runs = false};
    struct machine machine;
    char sentence[REASON_SENTENCE_SIZE];
    bool found;
    *say = true;
    if (!find_past_plans(turn->ledger, counter, label->code, &now, fault))
        return false;
    if (now.runs) {
        counter->step = STEP_CHECK_OUT;
        if (!check_out_close(turn, now.job.machine, fault))
            return false;
        if (counter->unit_count == 0 && counter->step == STEP_CHECK_OUT)
            counter_note(counter, "Job %s runs on %s already: scan what else goes there.", now.job.code,
                         now.job.machine);
        return true;
    }
    if (now.over) {
        say_over(&now.last, sentence, sizeof sentence);
        counter_object(counter, REASON_JOB_OVER, label->code, "%s", sentence);
        return true;
    }
    if (label->printer[0] == '\0' && label->resin[0] == '\0' && label->need_ml == 0) {
        counter_object(counter, REASON_JOB_UNKNOWN, label->code,
                       "No job %s is planned here, and its ticket says no more than that.", label->code);
        return true;
    }
    if (label->printer[0] != '\0' && !machine_load(turn->ledger, label->printer, &machine, &found, fault))
        return false;
    *say = label->printer[0] != '\0' && !found;
    if (*say)
        counter_object(counter, REASON_JOB_UNKNOWN, label->printer,
                       "The ticket of job %s names the printer %s, which is not known here.", label->code,
                       label->printer);
    return true;
}

bool ticket_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct ticket_now now;
    struct machine machine = {.slots = 0};
    char words[JOB_PLAN_WORDS_SIZE], to[PLACE_SIZE];
    bool found = false;
    if (!ticket_now(turn->ledger, counter, &now, fault))
        return false;
    counter->step = STEP_CHECK_OUT;
    counter->need_said = now.ticket.need_ul != MOVEMENT_NULL;
    counter->need_ul = now.ticket.need_ul;
    turn_copy(to, sizeof to, counter->place[0] ? counter->place : now.job.machine);
    if (counter->unit_count > 0)
        return to[0] ? check_out_close(turn, to, fault) : check_out_show(turn, fault);
    if (now.job.machine[0] && !machine_load(turn->ledger, now.job.machine, &machine, &found, fault))
        return false;
    job_plan_words(&now.ticket, words);
    counter_note(counter, "Job %s%s%s%s%s. Scan %swhat goes out for it%s.", now.job.code, machine.name[0] ? " on " : "",
                 machine.name, words[0] ? ": " : "", words, turn->person[0] ? "" : "your badge and ",
                 now.is_old ? "; it was planned anew after this ticket was printed" : "");
    return true;
}

bool ticket_scanned(struct turn *turn, const struct job_label *label, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct job plan;
    struct ticket_now now;
    bool planned, say = false;
    char place[PLACE_SIZE];
    if (counter->step != STEP_IDLE && counter->step != STEP_CHECK_OUT) {
        counter_ask(counter, "Ticket of job %s: finish what you are at first, or scan the card NO.", label->code);
        return true;
    }
    if (!job_plan_find(turn->ledger, label->code, label->printer, &plan, &planned, fault) ||
        (!planned && !look_past_plans(turn, label, &say, fault)))
        return false;
    if (say)
        return true;
    if (counter->step == STEP_IDLE)
        counter_clear_group(counter);
    counter->ticket = *label;
    if (!ticket_now(turn->ledger, counter, &now, fault))
        return false;
    if (now.planned && !now.is_old) { /* an older paper says nothing of whether the new one came out */
        print_ticket_name(now.job.ticket, place);
        if (!labels_prove_other(turn, "", place, fault))
            return false;
    }
    return ticket_show(turn, fault);
}

bool ticket_typed(struct turn *turn, const char *code, bool *found, struct fault *fault)
{
    struct job_label label = {.need_ml = 0};
    struct job plan;
    *found = false;
    if (!job_label_code_fits(span_of(code)))
        return true;
    turn_copy(label.code, sizeof label.code, code);
    return job_plan_find(turn->ledger, code, "", &plan, found, fault) &&
           (!*found || ticket_scanned(turn, &label, fault));
}

bool ticket_of_script(struct turn *turn, const char *code, int64_t *need_ul, struct fault *fault)
{
    struct job plan;
    bool planned;
    if (!job_plan_find(turn->ledger, code, "", &plan, &planned, fault))
        return false;
    if (!planned)
        return fault_set(fault, FAULT_MISSING, "no job '%s' is planned: plan it first, or leave 'job' out", code);
    if (!span_copy(span_of(code), turn->counter.ticket.code, sizeof turn->counter.ticket.code))
        return fault_set(fault, FAULT_INPUT, "'job' has more than %d characters", JOB_LABEL_CODE_SIZE - 1);
    if (*need_ul == MOVEMENT_NULL)
        *need_ul = plan.need_ul;
    return plan.need_ul == MOVEMENT_NULL || *need_ul >= plan.need_ul ||
           fault_set(fault, FAULT_REFUSED,
                     "job '%s' was planned to need %g ml, and 'need_ml' says less: plan it anew first", plan.code,
                     (double)plan.need_ul / UL_A_ML);
}

/* ---- the verdict ---- */

static bool name_of(struct ledger *ledger, const char *code, char name[NAME_SIZE], struct fault *fault)
{
    struct machine machine;
    bool found = false;
    if (code[0] != '\0' && !machine_load(ledger, code, &machine, &found, fault))
        return false;
    turn_copy(name, NAME_SIZE, found && machine.name[0] ? machine.name : code);
    return true;
}

bool ticket_judge(struct turn *turn, const struct ticket_now *now, const struct check_out_case *group,
                  const struct job *running, struct verdict_list *list, struct fault *fault)
{
    char name[NAME_SIZE];
    const bool other = running && running->ticket != MOVEMENT_NULL && !now->runs;
    const char *called = !other ? "" : running->code[0] ? running->code : "without a name";
    if (!name_of(turn->ledger, now->job.machine, name, fault))
        return false;
    job_match_judge(&(struct job_match_case){.job = now->job.code,
                                             .resin = now->ticket.resin,
                                             .revision = now->ticket.revision,
                                             .prepared_for = now->job.machine,
                                             .prepared_for_name = name,
                                             .printer = group->printer ? group->printer : "",
                                             .printer_name = group->printer ? group->printer_name : "",
                                             .running = called,
                                             .ticket_is_old = now->is_old,
                                             .substitutions = group->substitutions,
                                             .today = group->today,
                                             .clock_trusted = group->clock_trusted,
                                             .things = group->things,
                                             .thing_count = group->thing_count,
                                             .inside = group->inside,
                                             .inside_count = group->inside_count},
                    list);
    if (now->over) {
        char sentence[REASON_SENTENCE_SIZE];
        say_over(&now->last, sentence, sizeof sentence);
        verdict_add(list, REASON_JOB_OVER, now->job.code, "%s", sentence);
    }
    return true;
}

struct sum {
    int64_t amount_ul; /* MOVEMENT_NULL: of one of them nobody knows */
};

static bool add_amount(const struct unit *unit, void *context)
{
    struct sum *sum = context;
    if (!strchr("VTC", unit->serial[0]) || unit->resin[0] == '\0' || sum->amount_ul == MOVEMENT_NULL)
        return true;
    sum->amount_ul = unit->amount_ul == MOVEMENT_NULL ? MOVEMENT_NULL : sum->amount_ul + unit->amount_ul;
    return true;
}

bool ticket_next(struct turn *turn, const struct ticket_now *now, char *words, size_t size, struct fault *fault)
{
    struct sum sum = {0};
    struct unit unit;
    struct builder out;
    builder_init(&out, words, size);
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, now->job.machine, "", INT64_MAX, add_amount, &sum, fault))
        return false;
    for (size_t i = 0; i < turn->counter.unit_count; i++) {
        if (!thing_require_unit(turn->ledger, turn->counter.units[i].serial, &unit, fault))
            return false;
        (void)add_amount(&unit, &sum);
    }
    const int64_t need = now->ticket.need_ul;
    if (need != MOVEMENT_NULL && sum.amount_ul != MOVEMENT_NULL && sum.amount_ul < need)
        builder_addf(&out, "%g of %g ml so far: scan the next one.", (double)sum.amount_ul / UL_A_ML,
                     (double)need / UL_A_ML);
    else
        builder_addf(&out, "Scan %sthe ticket again, or the printer.", turn->person[0] ? "" : "your badge, and ");
    return true;
}

/* ---- the booking ---- */

bool ticket_begin(struct turn *turn, const struct ticket_now *now, const char *machine, const struct job_said *said,
                  char id[JOB_SIZE], struct fault *fault)
{
    struct job running, plan = now->job;
    struct job_ticket ticket = now->ticket;
    bool runs;
    if (!job_load_running(turn->ledger, machine, &running, &runs, fault))
        return false;
    if (runs && running.ticket == MOVEMENT_NULL) { /* opened by a check-out before the ticket was at hand */
        turn_copy(id, JOB_SIZE, running.id);
        job_plan_fill(&ticket, said);
        return now->planned ? job_plan_give_to(turn, &plan, &running, said, fault)
                            : job_ticket_book(turn, &running, &ticket, fault);
    }
    if (runs && !job_end_book(turn, &running, "", MOVEMENT_NULL, fault))
        return false;
    if (!now->planned && !job_plan_book(turn, &now->ticket, machine, &plan, fault))
        return false;
    turn_copy(id, JOB_SIZE, plan.id);
    return job_plan_begin(turn, &plan, machine, said, fault);
}
