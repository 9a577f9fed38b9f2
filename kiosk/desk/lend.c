#include "kiosk/desk/lend.h"

#include <string.h>

#include "kiosk/desk/alarm.h"
#include "kiosk/desk/card_number.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/group.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/kept_taken.h"
#include "kiosk/desk/overrule.h"
#include "kiosk/desk/thing.h"

bool lend_card_days(const char *card, int64_t *days)
{
    return card_number_read(card, "D", LEND_DAYS_MAX, days);
}

bool lend_is_lent(const struct unit *unit)
{
    return unit->status == UNIT_OUT && unit->place[0] != '\0' && unit->printer[0] == '\0';
}

/* ---- what speaks against it ---- */

static void add_all(const struct verdict_list *more, struct verdict_list *list)
{
    for (size_t i = 0; i < more->count; i++)
        verdict_add(list, more->reasons[i].code, more->reasons[i].subject, "%s", more->reasons[i].sentence);
}

/* For longer, to where it is: who has it goes on having it, and what it is kept for counts from its return. */
static bool stays(const struct turn *turn, const struct unit *unit)
{
    return lend_is_lent(unit) && strcmp(unit->place, turn->counter.place) == 0;
}

/* Each for itself: things of two resins may well be lent together. What is lent and lent again is out with reason. */
static bool judge_one(struct turn *turn, const char *serial, struct verdict_list *list, struct fault *fault)
{
    struct thing thing;
    struct verdict_list one;
    if (!thing_require(turn->ledger, serial, &thing, fault))
        return false;
    struct check_out_thing asked = thing_for_rule(&thing);
    asked.in = asked.in || lend_is_lent(&thing.unit);
    check_out_judge(&(struct check_out_case){.things = &asked,
                                             .thing_count = 1,
                                             .today = turn->act->moment.local_day,
                                             .clock_trusted = turn->act->moment.trusted},
                    &one);
    add_all(&one, list);
    return stays(turn, &thing.unit) || kept_taken_judge(turn, serial, "", list, fault);
}

static bool judge(struct turn *turn, struct verdict_list *list, struct fault *fault)
{
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    for (size_t i = 0; i < turn->counter.unit_count; i++)
        if (!judge_one(turn, turn->counter.units[i].serial, list, fault))
            return false;
    turn_judge_person(turn, "lend", list);
    return true;
}

/* ---- booking ---- */

static bool name_room(struct turn *turn, char name[NAME_SIZE], struct fault *fault)
{
    struct place room;
    bool found;
    if (!place_load(turn->ledger, turn->counter.place, &room, &found, fault))
        return false;
    turn_copy(name, NAME_SIZE, found && room.name[0] ? room.name : turn->counter.place);
    return true;
}

/* "Flint cartridge C900012X lent to Annex, back by 2026-12-03", or "3 things lent to …". */
static bool name_lending(struct turn *turn, char *name, size_t size, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    char room[NAME_SIZE], date[CALENDAR_DATE_SIZE];
    struct builder out;
    struct thing thing;
    if (!name_room(turn, room, fault) || !thing_require(turn->ledger, counter->units[0].serial, &thing, fault))
        return false;
    builder_init(&out, name, size);
    if (counter->unit_count == 1)
        builder_addf(&out, "%s %s", thing.item.name, thing.unit.serial);
    else
        builder_addf(&out, "%zu things", counter->unit_count);
    builder_addf(&out, " lent to %s, ", room);
    if (counter->due == MOVEMENT_NULL)
        builder_add(&out, "nobody knows until when");
    else
        builder_addf(&out, "back by %s", calendar_write_date((struct day){(int32_t)counter->due}, date));
    return true;
}

/* `overruled` NULL: nothing was. */
static bool book_one(struct turn *turn, const char *serial, bool taken, const struct verdict_list *overruled,
                     struct fault *fault)
{
    struct movement lend;
    struct unit before;
    if (!thing_require_unit(turn->ledger, serial, &before, fault))
        return false;
    movement_init(&lend, MOVEMENT_LEND);
    turn_copy(lend.unit, sizeof lend.unit, serial);
    turn_copy(lend.place, sizeof lend.place, turn->counter.place);
    lend.expires = turn->counter.due;
    if (taken)
        turn_copy(lend.word, sizeof lend.word, "taken");
    return overrule_note(turn, overruled, &lend, fault) && turn_book(turn, &lend, fault) &&
           job_end_when_empty(turn, before.printer, fault) &&
           (stays(turn, &before) || kept_taken_end(turn, serial, fault));
}

static bool book(struct turn *turn, bool taken, const struct verdict_list *overruled, struct fault *fault)
{
    for (size_t i = 0; i < turn->counter.unit_count; i++)
        if (!book_one(turn, turn->counter.units[i].serial, taken, overruled, fault))
            return false;
    return true;
}

static bool book_and_say(struct turn *turn, const struct verdict_list *overruled, struct fault *fault)
{
    char name[COUNTER_TITLE_SIZE], did[COUNTER_TITLE_SIZE];
    struct builder out;
    if (!name_lending(turn, name, sizeof name, fault) || !book(turn, false, overruled, fault))
        return false;
    counter_clear_group(&turn->counter);
    builder_init(&out, did, sizeof did);
    builder_addf(&out, "Booked: %s.", name);
    overrule_say(&turn->counter, overruled, did);
    return true;
}

static bool book_taken(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list;
    struct builder out;
    char name[COUNTER_TITLE_SIZE], note[COUNTER_TITLE_SIZE];
    if (!alarm_stand_in(turn, fault) || !judge(turn, &list, fault) || !name_lending(turn, name, sizeof name, fault) ||
        !book(turn, true, NULL, fault))
        return false;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "Taken to another room against the verdict %s: %s", verdict_word(list.verdict),
                 list.count > 0 ? verdict_worst(&list)->sentence : "nothing spoke against it.");
    text_end_whole(note);
    if (!turn_question(turn, "taken", counter->units[0].serial, note, fault))
        return false;
    counter_clear_group(counter);
    counter_say(counter, "Booked as taken: %s. The storekeeper will be asked about it.", name);
    return true;
}

/* ---- at the counter ---- */

static bool close_group(struct turn *turn, struct fault *fault)
{
    if (!turn_has_person(turn, "lend", "to lend this"))
        return true;
    if (!book_and_say(turn, NULL, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* The day is asked about first; what else is asked stands beside it, and needs a YES of its own. */
static bool ask_day(struct turn *turn, const struct verdict_list *list, struct fault *fault)
{
    char room[NAME_SIZE];
    if (!name_room(turn, room, fault))
        return false;
    counter_ask(&turn->counter, "Lent to %s: back by when? A card such as 7D, or 'nobody knows'.", room);
    if (list->count > 0)
        turn->counter.verdict = *list;
    return true;
}

bool lend_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list;
    if (!judge(turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP) {
        counter_show(counter, &list);
        return true;
    }
    if (!counter->due_said)
        return ask_day(turn, &list, fault);
    if (list.verdict == VERDICT_ASK) {
        counter_show(counter, &list);
        return true;
    }
    return close_group(turn, fault);
}

bool lend_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!counter_find(counter, serial) && !counter_add(counter, serial)) {
        counter_object(counter, REASON_UNREADABLE, serial, "%d things are the most at once: lend these first.",
                       COUNTER_UNITS);
        return true;
    }
    return lend_show(turn, fault);
}

static bool all_are_lent(const struct counter *counter)
{
    for (size_t i = 0; i < counter->unit_count; i++)
        if (!counter->units[i].lent)
            return false;
    return counter->unit_count > 0;
}

bool lend_room_scanned(struct turn *turn, const struct place *room, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool goes = (counter->step == STEP_CHECK_OUT && counter->unit_count > 0) || counter->step == STEP_LEND ||
                      (counter->step == STEP_CHECK_IN && all_are_lent(counter));
    int64_t units = 0;
    if (!goes && counter->step != STEP_IDLE && counter->step != STEP_CHECK_OUT) {
        counter_object(counter, REASON_UNREADABLE, room->code,
                       "%s is another room, and nothing comes in there: scan a shelf, or the card NO.", room->code);
        return true;
    }
    if (!goes) {
        if (!unit_count_in_place(turn->ledger, room->code, &units, fault))
            return false;
        counter_note(counter, "%s%s%s, another room: %s%lld unit%s. Scan what is lent, then this label.", room->code,
                     room->name[0] ? ", " : "", room->name, units == UNIT_IN_PLACE_MOST ? "at least " : "",
                     (long long)units, units == 1 ? " is lent there" : "s are lent there");
        return true;
    }
    counter->step = STEP_LEND;
    turn_copy(counter->place, sizeof counter->place, room->code);
    return lend_show(turn, fault);
}

/* What is lent was scanned again: it stays where it is. False in `*one_room`: not all of it is in the same one. */
static bool begin_again(struct turn *turn, bool *one_room, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    char room[PLACE_SIZE] = "";
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        if (!thing_require_unit(turn->ledger, counter->units[i].serial, &unit, fault))
            return false;
        if (!lend_is_lent(&unit) || (i > 0 && strcmp(room, unit.place) != 0)) {
            counter_ask(counter, "These are not lent to one and the same room: scan them one by one.");
            *one_room = false;
            return true;
        }
        turn_copy(room, sizeof room, unit.place);
    }
    counter->step = STEP_LEND;
    turn_copy(counter->place, sizeof counter->place, room);
    *one_room = true;
    return true;
}

bool lend_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool again = counter->step == STEP_CHECK_IN && all_are_lent(counter);
    const bool unknown = strcmp(card, "UNKNOWN") == 0 && counter->step == STEP_LEND;
    bool one_room = true;
    int64_t days = 0;
    *mine =
        (counter->step == STEP_LEND || again) && counter->unit_count > 0 && (unknown || lend_card_days(card, &days));
    if (!*mine)
        return true;
    if (again && !begin_again(turn, &one_room, fault))
        return false;
    if (!one_room)
        return true;
    counter->due_said = true;
    counter->due = unknown ? MOVEMENT_NULL : turn->act->moment.local_day.number + days;
    return lend_show(turn, fault);
}

bool lend_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list;
    if (!judge(turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP || !counter->due_said || !verdict_covers(&counter->verdict, &list))
        return lend_show(turn, fault);
    return close_group(turn, fault);
}

bool lend_taken(struct turn *turn, struct fault *fault)
{
    if (!turn_has_person(turn, "taken", "to say who took it"))
        return true;
    if (!turn->counter.due_said)
        turn->counter.due = MOVEMENT_NULL;
    if (!book_taken(turn, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool lend_overrule(struct turn *turn, struct fault *fault)
{
    struct verdict_list list;
    bool go;
    if (!judge(turn, &list, fault) || !overrule_at_counter(turn, &list, "to lend this", &go, fault))
        return false;
    if (!go)
        return true;
    if (!turn->counter.due_said)
        turn->counter.due = MOVEMENT_NULL; /* a stop leaves the day out */
    if (!book_and_say(turn, &list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* ---- by a script or the page ---- */

bool lend_read_due(const struct turn *turn, const json_t *content, int64_t *due, struct fault *fault)
{
    if (!content_day(content, "due", due, fault))
        return false;
    return *due == MOVEMENT_NULL || *due >= turn->act->moment.local_day.number ||
           fault_set(fault, FAULT_INPUT, "'due' is past: say the day by which it is promised back");
}

static bool read_day(struct turn *turn, const json_t *content, struct fault *fault)
{
    int64_t due, days;
    if (!lend_read_due(turn, content, &due, fault) ||
        !content_count(content, "days", CONTENT_OPTIONAL, 0, LEND_DAYS_MAX, &days, fault))
        return false;
    if (due != MOVEMENT_NULL && days != MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'due' and 'days' say the same: leave one out");
    turn->counter.due_said = true;
    turn->counter.due = days != MOVEMENT_NULL ? turn->act->moment.local_day.number + days : due;
    return true;
}

static bool read_room(struct turn *turn, const json_t *content, struct fault *fault)
{
    struct place room;
    bool found;
    char code[PLACE_SIZE];
    if (!content_code(content, "place", CONTENT_REQUIRED, code, sizeof code, fault) ||
        !place_load(turn->ledger, code, &room, &found, fault))
        return false;
    if (!found || strcmp(room.kind, "room") != 0)
        return fault_set(fault, FAULT_MISSING, "'%s' is not another room: enter it as a place of that kind", code);
    turn_copy(turn->counter.place, sizeof turn->counter.place, code);
    return true;
}

struct lend_flags {
    bool confirm, taken, overrule;
};

/* Booked, or the verdict as the answer. */
static bool decide(struct turn *turn, const struct lend_flags *flags, struct fault *fault)
{
    struct verdict_list list;
    if (!judge(turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP && flags->overrule)
        return overrule_in_act(turn, &list, fault) && book_and_say(turn, &list, fault);
    if (list.verdict == VERDICT_GO || (list.verdict == VERDICT_ASK && flags->confirm))
        return book_and_say(turn, NULL, fault);
    counter_show(&turn->counter, &list);
    return true;
}

static bool read_flags(const json_t *content, struct lend_flags *flags, struct fault *fault)
{
    return content_flag(content, "confirm", &flags->confirm, fault) &&
           content_flag(content, "taken", &flags->taken, fault) &&
           content_flag(content, "overrule", &flags->overrule, fault) &&
           (!flags->taken || !flags->overrule ||
            fault_set(fault, FAULT_INPUT, "'taken' says what happened and 'overrule' lets it happen: say one of them"));
}

bool lend_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"units", "place", "due", "days", "confirm", "taken", "overrule", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct lend_flags flags;
    if (!turn_open(context, &turn, fault) || !content_only(content, keys, fault) ||
        !read_flags(content, &flags, fault) ||
        /* of what may be overruled, the verdict says who may */
        (!flags.overrule && !turn_may(&turn, flags.taken ? "taken" : "lend", fault)) ||
        !group_read_units(&turn, content, fault) || !read_day(&turn, content, fault) ||
        !read_room(&turn, content, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who lends it");
    turn.counter.step = STEP_LEND;
    return (flags.taken ? book_taken(&turn, fault) : decide(&turn, &flags, fault)) && turn_answer(&turn, answer, fault);
}
