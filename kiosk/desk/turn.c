#include "kiosk/desk/turn.h"

#include <assert.h>
#include <string.h>

#include "kiosk/desk/view.h"
#include "kiosk/ledger/catalogue.h"

void turn_copy(char *to, size_t size, const char *from)
{
    const bool fits = span_copy(span_of(from), to, size);
    assert(fits);
    (void)fits;
}

static void set_booking(struct turn *turn)
{
    struct booking booking = {.moment = turn->act->moment};
    turn_copy(booking.act, sizeof booking.act, turn->act->act->id);
    turn_copy(booking.kiosk, sizeof booking.kiosk, turn->act->kiosk);
    turn_copy(booking.person, sizeof booking.person, turn->person);
    if (turn->act->act->happened_at.ms != 0)
        booking.moment.wall = turn->act->act->happened_at;
    ledger_set_booking(turn->ledger, &booking);
}

/* `seen` {serial: version}: the rows as the person saw them. Another's movement in between is a conflict: what was
 * decided on the screen may not be so any more. */
static bool check_seen(struct turn *turn, struct fault *fault)
{
    const char *serial;
    json_t *version;
    json_t *seen = json_object_get(turn->act->act->content, "seen");
    if (seen && !json_is_object(seen))
        return fault_set(fault, FAULT_INPUT, "'seen' is not an object of serials and versions");
    json_object_foreach(seen, serial, version)
    {
        struct unit unit;
        bool found;
        if (!json_is_integer(version))
            return fault_set(fault, FAULT_INPUT, "'seen.%.20s' is not a version's number", serial);
        if (!unit_load(turn->ledger, serial, &unit, &found, fault))
            return false;
        if (!found || unit.version != json_integer_value(version))
            return fault_set(fault, FAULT_CONFLICT, "%.20s changed since you saw it: look again, then decide", serial);
    }
    return true;
}

bool turn_begin(struct act_context *act, struct turn *turn, struct fault *fault)
{
    memset(turn, 0, sizeof *turn);
    turn->act = act;
    turn->ledger = act->ledger;
    turn->desk = act->desk;
    if (act->act->counter[0] != '\0' &&
        !counter_load(turn->ledger, turn->desk, act->act->counter, &act->moment, &turn->counter, fault))
        return false;
    if (act->act->person[0] != '\0') {
        struct person person;
        bool found;
        if (!person_load(turn->ledger, act->act->person, &person, &found, fault))
            return false;
        if (!found)
            return fault_set(fault, FAULT_MISSING, "person '%s' is not known: enter the person first",
                             act->act->person);
        if (strcmp(person.role, "left") == 0)
            return fault_set(fault, FAULT_REFUSED, "the badge %s counts no more: its owner has left", act->act->person);
        turn_copy(turn->person, sizeof turn->person, act->act->person);
    } else {
        turn_copy(turn->person, sizeof turn->person, turn->counter.person);
    }
    if (turn->counter.person[0] != '\0')
        turn->counter.person_mono_ms = act->moment.mono_ms; /* a busy counter keeps its person */
    set_booking(turn);
    return check_seen(turn, fault);
}

bool turn_answer(struct turn *turn, json_t **answer, struct fault *fault)
{
    if (turn->counter.name[0] != '\0' && !counter_store(turn->ledger, &turn->counter, fault))
        return false;
    json_t *view;
    if (!view_make(turn->ledger, &turn->counter, turn->booked ? turn->act->act->id : "", &turn->act->moment, &view,
                   fault))
        return false;
    json_object_set_new(view, "booked", json_boolean(turn->booked));
    const char *undo = json_string_value(json_object_get(json_object_get(view, "undo"), "act"));
    if (turn->counter.name[0] != '\0') /* the view says what UNDO would take back: is it this act? */
        turn->act->final = !undo || strcmp(undo, turn->act->act->id) != 0;
    *answer = view;
    return true;
}

void turn_sign_in(struct turn *turn, const char *serial)
{
    turn_copy(turn->person, sizeof turn->person, serial);
    turn_copy(turn->counter.person, sizeof turn->counter.person, serial);
    turn_copy(turn->counter.run, sizeof turn->counter.run, turn->desk->run);
    turn->counter.person_mono_ms = turn->act->moment.mono_ms;
    set_booking(turn);
}

void turn_sign_out(struct turn *turn)
{
    turn->counter.person[0] = '\0';
}

bool turn_book(struct turn *turn, struct movement *movement, struct fault *fault)
{
    if (!ledger_book(turn->ledger, movement, fault))
        return false;
    turn->booked = true;
    return true;
}

bool turn_question(struct turn *turn, const char *code, const char *unit, const char *note, struct fault *fault)
{
    struct movement question;
    movement_init(&question, MOVEMENT_QUESTION);
    turn_copy(question.word, sizeof question.word, code);
    turn_copy(question.unit, sizeof question.unit, unit);
    return ledger_text_put(turn->ledger, note, question.text, fault) && turn_book(turn, &question, fault);
}

bool turn_has_person(struct turn *turn, const char *what_for)
{
    if (turn->person[0] != '\0')
        return true;
    counter_ask(&turn->counter, "Scan your badge %s.", what_for);
    return false;
}
