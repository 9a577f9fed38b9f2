#include "kiosk/desk/check_out.h"

#include <string.h>

#include "kiosk/desk/alarm.h"
#include "kiosk/desk/check_out_judge.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/group.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/job_need.h"
#include "kiosk/desk/kept_taken.h"
#include "kiosk/desk/lend.h"
#include "kiosk/desk/overrule.h"
#include "kiosk/desk/supply.h"
#include "kiosk/desk/thing.h"
#include "kiosk/desk/ticket.h"

/* "Flint cartridge C900012X", or "3 things". */
static bool name_group(struct turn *turn, char *name, size_t size, struct fault *fault)
{
    struct builder out;
    builder_init(&out, name, size);
    if (turn->counter.unit_count != 1) {
        builder_addf(&out, "%zu things", turn->counter.unit_count);
        return true;
    }
    struct thing thing;
    bool found;
    if (!thing_load(turn->ledger, turn->counter.units[0].serial, &thing, &found, fault))
        return false;
    builder_addf(&out, "%s %s", found ? thing.item.name : "", turn->counter.units[0].serial);
    return true;
}

static bool running_job(struct turn *turn, const char *machine, const struct job_said *said, char id[JOB_SIZE],
                        struct fault *fault)
{
    struct ticket_now ticket;
    struct job job;
    bool found;
    if (!ticket_now(turn->ledger, &turn->counter, &ticket, fault))
        return false;
    if (ticket.there && !ticket.runs) /* else its job is found there as any other, or it is elsewhere */
        return ticket_begin(turn, &ticket, machine, said, id, fault);
    if (!job_load_running(turn->ledger, machine, &job, &found, fault))
        return false;
    if (found) {
        turn_copy(id, JOB_SIZE, job.id);
        return true;
    }
    struct movement start;
    movement_init(&start, MOVEMENT_JOB_START);
    turn_copy(start.job, sizeof start.job, turn->act->act->id); /* unnamed: known by the act that opened it */
    turn_copy(start.printer, sizeof start.printer, machine);
    start.amount_ul = said->need_ul;
    start.expires = said->end_day;
    turn_copy(id, JOB_SIZE, start.job);
    return turn_book(turn, &start, fault);
}

/* Of the job, at the counter. */
static struct job_said said_need(const struct counter *counter)
{
    return (struct job_said){counter->need_said ? counter->need_ul : MOVEMENT_NULL, MOVEMENT_NULL};
}

/* `overruled` NULL: nothing was. */
static bool book(struct turn *turn, const char *machine, const struct job_said *said, bool taken,
                 const struct verdict_list *overruled, struct fault *fault)
{
    char job[JOB_SIZE], machines_before[COUNTER_UNITS][PRINTER_SIZE];
    if (!running_job(turn, machine, said, job, fault))
        return false;
    for (size_t i = 0; i < turn->counter.unit_count; i++) {
        struct movement out;
        struct unit unit;
        bool found;
        if (!unit_load(turn->ledger, turn->counter.units[i].serial, &unit, &found, fault))
            return false;
        turn_copy(machines_before[i], sizeof machines_before[i], found ? unit.printer : "");
        movement_init(&out, MOVEMENT_CHECK_OUT);
        turn_copy(out.unit, sizeof out.unit, turn->counter.units[i].serial);
        turn_copy(out.printer, sizeof out.printer, machine);
        turn_copy(out.job, sizeof out.job, job);
        out.expires = turn->counter.due_said ? turn->counter.due : MOVEMENT_NULL;
        if (taken)
            turn_copy(out.word, sizeof out.word, "taken");
        if (!overrule_note(turn, overruled, &out, fault) || !turn_book(turn, &out, fault))
            return false;
    }
    if (!supply_book(turn, machine, job, fault) || !kept_taken_end_group(turn, machine, fault))
        return false;
    for (size_t i = 0; i < turn->counter.unit_count; i++) /* what was taken may have left another printer */
        if (strcmp(machines_before[i], machine) != 0 && !job_end_when_empty(turn, machines_before[i], fault))
            return false;
    return true;
}

/* Books what `list` lets go, or what was overruled of it, and says so; what has to be read is said once more. */
static bool book_and_say(struct turn *turn, const char *machine, const struct job_said *said,
                         const struct verdict_list *list, struct fault *fault)
{
    const struct verdict_list *overruled = list->verdict == VERDICT_STOP ? list : NULL;
    const bool ticket = turn->counter.ticket.code[0] != '\0';
    char name[120], did[COUNTER_TITLE_SIZE];
    struct machine known;
    struct builder out;
    struct job job;
    bool found, runs;
    if (!name_group(turn, name, sizeof name, fault) || !machine_load(turn->ledger, machine, &known, &found, fault) ||
        !book(turn, machine, said, false, overruled, fault) ||
        !job_load_running(turn->ledger, machine, &job, &runs, fault))
        return false;
    counter_clear_group(&turn->counter);
    builder_init(&out, did, sizeof did);
    builder_addf(&out, "Booked: %s to %s%s%s.", name, found && known.name[0] ? known.name : machine,
                 ticket && runs && job.code[0] ? ", job " : "", ticket && runs ? job.code : "");
    overrule_say(&turn->counter, overruled, did);
    verdict_add_notes(&turn->counter.verdict, list);
    return true;
}

/* Shows the verdict of the group; the sentence of the worst reason is the title. */
static void show(struct turn *turn, const struct verdict_list *list, const char *when_go)
{
    struct counter *counter = &turn->counter;
    if (list->verdict == VERDICT_GO) {
        counter_say(counter, "%s", when_go);
        verdict_add_notes(&counter->verdict, list);
        return;
    }
    counter_show(counter, list);
}

/* Books by scans: the group is closed, and the next thing is somebody's who shows a badge. */
static bool close_group(struct turn *turn, const char *machine, const struct verdict_list *list, struct fault *fault)
{
    if (!turn_has_person(turn, "check-out", "to take this"))
        return true;
    const struct job_said said = said_need(&turn->counter);
    if (!book_and_say(turn, machine, &said, list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* The older one that was proposed goes instead of the one it was proposed for. */
static bool take_instead(struct counter *counter, const char *serial)
{
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct counter_unit *unit = &counter->units[i];
        if (strcmp(unit->instead, serial) != 0)
            continue;
        turn_copy(unit->serial, sizeof unit->serial, serial);
        unit->instead[0] = '\0';
        return true;
    }
    return false;
}

bool check_out_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    counter->step = STEP_CHECK_OUT;
    if (!take_instead(counter, serial) && !counter_find(counter, serial) && !counter_add(counter, serial)) {
        counter_object(counter, REASON_UNREADABLE, serial,
                       "%d things are the most for one printer: close this group first.", COUNTER_UNITS);
        return true;
    }
    return check_out_show(turn, fault);
}

bool check_out_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (counter->place[0] != '\0') {
        char machine[PLACE_SIZE];
        turn_copy(machine, sizeof machine, counter->place);
        return check_out_close(turn, machine, fault);
    }
    if (counter->unit_count == 0 && counter->ticket.code[0] != '\0')
        return ticket_show(turn, fault);
    struct ticket_now ticket;
    if (!ticket_now(turn->ledger, counter, &ticket, fault) ||
        !check_out_judge_group(turn, ticket.there ? ticket.job.machine : "", MOVEMENT_NULL, &list, fault))
        return false;
    char name[120], next[120], sentence[COUNTER_TITLE_SIZE];
    if (!name_group(turn, name, sizeof name, fault) ||
        (ticket.there && !ticket_next(turn, &ticket, next, sizeof next, fault)))
        return false;
    struct builder out;
    builder_init(&out, sentence, sizeof sentence);
    builder_addf(&out, "%s may go. %s", name,
                 ticket.there      ? next
                 : turn->person[0] ? "Scan the next thing, or the printer."
                                   : "Scan your badge, the next thing, or the printer.");
    show(turn, &list, sentence);
    return true;
}

bool check_out_close(struct turn *turn, const char *machine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    turn_copy(counter->place, sizeof counter->place, machine);
    if (counter->unit_count == 0) {
        counter_note(counter, "%s: scan %swhat goes into it.", machine, turn->person[0] ? "" : "your badge and ");
        return true;
    }
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (!check_out_judge_group(turn, machine, MOVEMENT_NULL, &list, fault))
        return false;
    if (list.verdict == VERDICT_GO)
        return close_group(turn, machine, &list, fault);
    show(turn, &list, "");
    return true;
}

bool check_out_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->place[0] == '\0' || counter->unit_count == 0) {
        counter_ask(counter, "Scan %s first.", counter->unit_count == 0 ? "what goes out" : "the printer");
        return true;
    }
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (!check_out_judge_group(turn, counter->place, MOVEMENT_NULL, &list, fault))
        return false;
    /* YES never answers a stop, the one on the screen included */
    if (list.verdict == VERDICT_STOP || counter->verdict.verdict == VERDICT_STOP ||
        !verdict_covers(&counter->verdict, &list)) {
        show(turn, &list, "");
        if (list.verdict == VERDICT_GO)
            counter_ask(counter, "Nothing speaks against it any more: YES to take it.");
        return true;
    }
    char machine[PLACE_SIZE];
    turn_copy(machine, sizeof machine, counter->place);
    return close_group(turn, machine, &list, fault);
}

static bool book_taken(struct turn *turn, const struct job_said *said, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list = {.verdict = VERDICT_GO};
    char machine[PLACE_SIZE], name[120], note[COUNTER_TITLE_SIZE];
    turn_copy(machine, sizeof machine, counter->place);
    if (!alarm_stand_in(turn, fault) || !check_out_judge_group(turn, machine, said->end_day, &list, fault) ||
        !name_group(turn, name, sizeof name, fault) || !book(turn, machine, said, true, NULL, fault))
        return false;
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "Taken to %s against the verdict %s: %s", machine, verdict_word(list.verdict),
                 list.count > 0 ? verdict_worst(&list)->sentence : "nothing spoke against it.");
    text_end_whole(note);
    if (!turn_question(turn, "taken", counter->units[0].serial, note, fault))
        return false;
    counter_clear_group(counter);
    counter_say(counter, "Booked as taken: %s to %s. The storekeeper will be asked about it.", name, machine);
    return true;
}

bool check_out_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct ticket_now ticket;
    if (!ticket_now(turn->ledger, counter, &ticket, fault))
        return false;
    *mine = counter->step == STEP_CHECK_OUT && counter->unit_count > 0 && counter->place[0] != '\0' &&
            job_need_is_asked(counter) &&
            job_need_note(counter, card, ticket.there && ticket.ticket.need_ul != MOVEMENT_NULL);
    if (!*mine)
        return true;
    char machine[PLACE_SIZE];
    turn_copy(machine, sizeof machine, counter->place);
    return check_out_close(turn, machine, fault);
}

bool check_out_taken(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->step != STEP_CHECK_OUT || counter->unit_count == 0) {
        counter_ask(counter, "Scan what was taken first.");
        return true;
    }
    if (counter->place[0] == '\0') {
        counter_ask(counter, "Scan the printer it was taken to, then 'already taken'.");
        return true;
    }
    if (!turn_has_person(turn, "taken", "to say who took it"))
        return true;
    const struct job_said said = said_need(counter);
    if (!book_taken(turn, &said, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool check_out_overrule(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list = {.verdict = VERDICT_GO};
    char machine[PLACE_SIZE];
    bool go;
    if (counter->place[0] == '\0' || counter->unit_count == 0) {
        counter_ask(counter, "Scan %s first, then it can be overruled.",
                    counter->unit_count == 0 ? "what goes out" : "the printer it goes to");
        return true;
    }
    turn_copy(machine, sizeof machine, counter->place);
    if (!check_out_judge_group(turn, machine, MOVEMENT_NULL, &list, fault) ||
        !overrule_at_counter(turn, &list, "to take this", &go, fault))
        return false;
    if (!go)
        return true;
    const struct job_said said = said_need(counter);
    if (!book_and_say(turn, machine, &said, &list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

struct asked { /* by a script */
    char machine[PRINTER_SIZE], job[JOB_CODE_SIZE];
    struct job_said said;
    bool confirm, taken, overrule;
};

static bool read_content(struct turn *turn, const json_t *content, struct asked *asked, struct fault *fault)
{
    static const char *const keys[] = {"units", "printer", "job",   "need_ml",  "ends",
                                       "due",   "confirm", "taken", "overrule", NULL};
    return content_only(content, keys, fault) &&
           content_code(content, "printer", CONTENT_REQUIRED, asked->machine, sizeof asked->machine, fault) &&
           content_code(content, "job", CONTENT_OPTIONAL, asked->job, sizeof asked->job, fault) &&
           content_amount(content, "need_ml", 1e6, 1000, &asked->said.need_ul, fault) &&
           content_day(content, "ends", &asked->said.end_day, fault) &&
           content_flag(content, "confirm", &asked->confirm, fault) &&
           content_flag(content, "taken", &asked->taken, fault) &&
           content_flag(content, "overrule", &asked->overrule, fault) && group_read_units(turn, content, fault) &&
           lend_read_due(turn, content, &turn->counter.due, fault) &&
           (!asked->taken || !asked->overrule ||
            fault_set(fault, FAULT_INPUT, "'taken' says what happened and 'overrule' lets it happen: say one of them"));
}

/* What a script says at once: booked, or the verdict as the answer. */
static bool decide(struct turn *turn, const struct asked *asked, struct fault *fault)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (asked->taken)
        return book_taken(turn, &asked->said, fault);
    if (!check_out_judge_group(turn, asked->machine, asked->said.end_day, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP && asked->overrule)
        return overrule_in_act(turn, &list, fault) && book_and_say(turn, asked->machine, &asked->said, &list, fault);
    if (list.verdict == VERDICT_GO || (list.verdict == VERDICT_ASK && asked->confirm))
        return book_and_say(turn, asked->machine, &asked->said, &list, fault);
    show(turn, &list, "");
    return true;
}

bool check_out_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct asked asked;
    if (!turn_open(context, &turn, fault) || !read_content(&turn, context->act->content, &asked, fault) ||
        /* of what may be overruled, the verdict says who may */
        (!asked.overrule && !turn_may(&turn, asked.taken ? "taken" : "check-out", fault)))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who takes it");
    turn.counter.step = STEP_CHECK_OUT;
    turn_copy(turn.counter.place, sizeof turn.counter.place, asked.machine);
    if (asked.job[0] != '\0' && !ticket_of_script(&turn, asked.job, &asked.said.need_ul, fault))
        return false;
    turn.counter.need_said = true; /* a script says all it knows at once: there is nobody to ask */
    turn.counter.need_ul = asked.said.need_ul;
    turn.counter.due_said = turn.counter.due != MOVEMENT_NULL;
    return decide(&turn, &asked, fault) && turn_answer(&turn, answer, fault);
}
