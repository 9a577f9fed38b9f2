#include "kiosk/desk/check_out_judge.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/job_need.h"
#include "kiosk/desk/kept_taken.h"
#include "kiosk/desk/older_first.h"
#include "kiosk/desk/substitutes.h"
#include "kiosk/desk/thing.h"
#include "kiosk/desk/ticket.h"

enum { INSIDE_MAX = 32, MS_A_MINUTE = 60000, MINUTES_A_DAY = 1440 };

/* Everything one judgement needs; large, so it lives on the heap. */
struct judgement {
    struct thing things[COUNTER_UNITS], inside[INSIDE_MAX];
    struct check_out_thing rule_things[COUNTER_UNITS], rule_inside[INSIDE_MAX];
    struct machine machine;
    struct substitutes substitutes;
    struct unit found[INSIDE_MAX];
    size_t found_count;
    struct job running; /* there */
    bool runs;
};

static bool collect(const struct unit *unit, void *context)
{
    struct judgement *judgement = context;
    judgement->found[judgement->found_count++] = *unit;
    return judgement->found_count < INSIDE_MAX;
}

static bool load_inside(struct ledger *ledger, const char *machine, struct judgement *judgement, struct fault *fault)
{
    bool found;
    if (!machine_load(ledger, machine, &judgement->machine, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "printer '%s' is not known: enter it first", machine);
    if (!unit_each(ledger, UNIT_BY_PRINTER, machine, "", INSIDE_MAX, collect, judgement, fault))
        return false;
    for (size_t i = 0; i < judgement->found_count; i++) {
        if (!thing_of_unit(ledger, &judgement->found[i], &judgement->inside[i], fault))
            return false;
        judgement->rule_inside[i] = thing_for_rule(&judgement->inside[i]);
    }
    return job_load_running(ledger, machine, &judgement->running, &judgement->runs, fault);
}

/* Leaves out of `inside` what is asked for itself: a thing that is in this printer already is "already out". */
static size_t without_asked(struct judgement *judgement, size_t asked)
{
    size_t kept = 0;
    for (size_t i = 0; i < judgement->found_count; i++) {
        bool same = false;
        for (size_t j = 0; j < asked && !same; j++)
            same = strcmp(judgement->things[j].unit.serial, judgement->inside[i].unit.serial) == 0;
        if (!same)
            judgement->rule_inside[kept++] = judgement->rule_inside[i];
    }
    return kept;
}

static bool load_things(struct turn *turn, struct judgement *judgement, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    for (size_t i = 0; i < counter->unit_count; i++) {
        counter->units[i].instead[0] = '\0';
        if (!thing_require(turn->ledger, counter->units[i].serial, &judgement->things[i], fault))
            return false;
        judgement->rule_things[i] = thing_for_rule(&judgement->things[i]);
    }
    return true;
}

/* The job does not end before that day begins. */
static struct check_out_job_end end_on(struct day today, int64_t day)
{
    return (struct check_out_job_end){
        .known = true, .day = {(int32_t)day}, .minutes = (day - today.number - 1) * MINUTES_A_DAY};
}

/* As the job's ticket says it, else as whoever takes the things. */
static struct check_out_job_end end_of(const struct turn *turn, const struct job *running, int64_t said_day)
{
    if (running && running->end_ms != MOVEMENT_NULL) {
        const int64_t left_ms = running->end_ms - turn->act->moment.wall.ms;
        return (struct check_out_job_end){.known = true,
                                          .day = clock_local_day(turn->desk->clock, (struct instant){running->end_ms}),
                                          .minutes = turn->act->moment.trusted ? left_ms / MS_A_MINUTE : -1,
                                          .exact = true};
    }
    const int64_t day = running && running->end_day != MOVEMENT_NULL ? running->end_day : said_day;
    return day != MOVEMENT_NULL ? end_on(turn->act->moment.local_day, day) : (struct check_out_job_end){.known = false};
}

static bool judge_stock(struct turn *turn, const struct judgement *judgement, const struct check_out_job_end *ends,
                        struct verdict_list *list, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    const int64_t said_ul = counter->need_said ? counter->need_ul : MOVEMENT_NULL;
    const struct day today = turn->act->moment.local_day;
    if (list->verdict == VERDICT_STOP) /* what stays here keeps nobody waiting */
        return true;
    return older_first_add(
        turn,
        &(struct older_first_asking){.things = judgement->things,
                                     .count = counter->unit_count,
                                     .inside = judgement->inside,
                                     .inside_count = judgement->found_count,
                                     .machine = judgement->machine.code[0] ? &judgement->machine : NULL,
                                     .need_ul = judgement->runs ? judgement->running.need_ul : said_ul,
                                     .job_end = ends->known && ends->day.number > today.number ? ends->day : today},
        list, fault);
}

/* The ticket's job may have been planned anew since it was scanned, to need more. */
static void note_need(struct counter *counter, const struct ticket_now *ticket)
{
    const int64_t need_ul = ticket->ticket.need_ul;
    if (!ticket->there || need_ul == MOVEMENT_NULL ||
        (counter->need_said && counter->need_ul != MOVEMENT_NULL && counter->need_ul >= need_ul))
        return;
    counter->need_said = true;
    counter->need_ul = need_ul;
}

static bool judge(struct turn *turn, const char *machine, int64_t ends_day, struct judgement *judgement,
                  struct verdict_list *list, struct fault *fault)
{
    const size_t count = turn->counter.unit_count;
    if (!substitutes_load(turn, &judgement->substitutes, fault) || !load_things(turn, judgement, fault) ||
        (machine[0] != '\0' && !load_inside(turn->ledger, machine, judgement, fault)))
        return false;
    struct ticket_now ticket;
    if (!ticket_now(turn->ledger, &turn->counter, &ticket, fault))
        return false;
    note_need(&turn->counter, &ticket);
    const struct machine *known = &judgement->machine;
    const struct job *running = judgement->runs ? &judgement->running : NULL;
    const char *name = known->name[0] ? known->name : known->code;
    const struct check_out_job_end ends = end_of(turn, ticket.there ? &ticket.job : running, ends_day);
    const struct check_out_case group = {.things = judgement->rule_things,
                                         .thing_count = count,
                                         .inside = judgement->rule_inside,
                                         .inside_count = without_asked(judgement, count),
                                         .printer = machine[0] != '\0' ? machine : NULL,
                                         .printer_name = name,
                                         .slots = known->slots,
                                         .ends = ends,
                                         .substitutions = &judgement->substitutes.table,
                                         .today = turn->act->moment.local_day,
                                         .now_ms = turn->act->moment.wall.ms,
                                         .clock_trusted = turn->act->moment.trusted};
    check_out_judge(&group, list);
    turn_judge_person(turn, "check-out", list);
    if (!kept_taken_judge_group(turn, machine, list, fault))
        return false;
    if (ticket.there && !ticket_judge(turn, &ticket, &group, running, list, fault))
        return false;
    if (ticket.there && !ticket.runs) { /* its job begins: what runs there by the books says nothing of it */
        running = NULL;
        judgement->runs = false;
    }
    if (machine[0] != '\0' && (!ticket.there || turn->counter.place[0] != '\0')) /* while it grows, nothing lacks yet */
        job_need_add(turn,
                     &(struct job_need_asking){.machine = machine,
                                               .machine_name = name,
                                               .things = judgement->things,
                                               .thing_count = count,
                                               .inside = judgement->inside,
                                               .inside_count = judgement->found_count,
                                               .running = running},
                     list);
    return judge_stock(turn, judgement, &ends, list, fault);
}

bool check_out_judge_group(struct turn *turn, const char *machine, int64_t ends_day, struct verdict_list *list,
                           struct fault *fault)
{
    struct judgement *judgement = malloc(sizeof *judgement); /* only what is counted is read: no need to clear it all */
    if (!judgement)
        return fault_set(fault, FAULT_STORAGE, "no memory to judge a check-out: try again");
    judgement->found_count = 0;
    judgement->machine = (struct machine){.slots = 0};
    judgement->runs = false;
    const bool done = judge(turn, machine, ends_day, judgement, list, fault);
    substitutes_free(&judgement->substitutes);
    free(judgement);
    return done;
}
