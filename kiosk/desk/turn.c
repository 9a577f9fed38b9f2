#include "kiosk/desk/turn.h"

#include <assert.h>
#include <string.h>

#include "kiosk/desk/view.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/rules/permission.h"

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

static void take_person(struct turn *turn, const struct person *person)
{
    turn_copy(turn->person, sizeof turn->person, person->serial);
    turn_copy(turn->role, sizeof turn->role, person->role);
    turn_copy(turn->training, sizeof turn->training, person->training);
}

/* Who acts: the act's person, else whoever is signed in. */
static bool find_person(struct turn *turn, struct fault *fault)
{
    const char *said = turn->act->act->person;
    struct person person;
    bool found;
    const char *serial = said[0] != '\0' ? said : turn->counter.person;
    if (serial[0] == '\0')
        return true;
    if (!person_load(turn->ledger, serial, &person, &found, fault))
        return false;
    if (!found && said[0] == '\0')
        return true; /* a counter's row is older than the ledger under it: nobody is signed in */
    if (!found)
        return fault_set(fault, FAULT_MISSING, "person '%s' is not known: enter the person first", said);
    if (strcmp(person.role, "left") == 0 && said[0] == '\0')
        return true;
    if (strcmp(person.role, "left") == 0)
        return fault_set(fault, FAULT_REFUSED, "the badge %s counts no more: its owner has left", said);
    take_person(turn, &person);
    return true;
}

bool turn_open(struct act_context *act, struct turn *turn, struct fault *fault)
{
    memset(turn, 0, sizeof *turn);
    turn->act = act;
    turn->ledger = act->ledger;
    turn->desk = act->desk;
    if (act->act->counter[0] != '\0' &&
        !counter_load(turn->ledger, turn->desk, act->act->counter, &act->moment, &turn->counter, fault))
        return false;
    if (!find_person(turn, fault))
        return false;
    if (turn->counter.person[0] != '\0')
        turn->counter.person_mono_ms = act->moment.mono_ms; /* a busy counter keeps its person */
    set_booking(turn);
    return check_seen(turn, fault);
}

bool turn_begin(struct act_context *act, struct turn *turn, struct fault *fault)
{
    return turn_open(act, turn, fault) && turn_may(turn, act->act->kind, fault);
}

/* ---- who may ---- */

static bool look_for_storekeeper(const struct person *person, void *context)
{
    bool *found = context;
    *found = strcmp(person->role, "storekeeper") == 0;
    return !*found;
}

void turn_judge_person(const struct turn *turn, const char *deed, struct verdict_list *list)
{
    const struct permission *permission = permission_find(deed);
    assert(permission); /* every act has its row: a test reads the table */
    permission_judge(permission, turn->role, turn->training, list);
}

bool turn_may(struct turn *turn, const char *deed, struct fault *fault)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    bool any = false;
    turn_judge_person(turn, deed, &list);
    if (list.count == 0)
        return true;
    if (turn->person[0] == '\0' && !person_each(turn->ledger, look_for_storekeeper, &any, fault))
        return false;
    if (turn->person[0] == '\0' && !any)
        return fault_set(fault, FAULT_REFUSED,
                         "this room has no storekeeper yet: enter the first one on the page Room, with the code that "
                         "the kiosk wrote where it was started");
    char sentence[REASON_SENTENCE_SIZE]; /* as a fault has it: inside another one, without its full stop */
    turn_copy(sentence, sizeof sentence, list.reasons[0].sentence);
    sentence[0] = (char)(sentence[0] - 'A' + 'a');
    sentence[strlen(sentence) - 1] = '\0';
    return fault_set(fault, FAULT_REFUSED, "%s", sentence);
}

bool turn_approve(struct turn *turn, const char *what, struct fault *fault)
{
    const char *approver = turn->act->act->approver;
    struct movement approval;
    struct person person;
    bool found;
    movement_init(&approval, MOVEMENT_APPROVAL);
    if (approver[0] == '\0')
        return fault_set(fault, FAULT_APPROVAL, "a storekeeper %s: it needs a storekeeper's PIN", what);
    if (!person_load(turn->ledger, approver, &person, &found, fault))
        return false;
    if (!found || strcmp(person.role, "storekeeper") != 0)
        return fault_set(fault, FAULT_APPROVAL, "a storekeeper %s, and %s is none: ask one for the PIN", what,
                         approver);
    turn_copy(approval.unit, sizeof approval.unit, approver);
    turn_copy(approval.word, sizeof approval.word, turn->act->act->kind);
    return turn_book(turn, &approval, fault);
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

void turn_sign_in(struct turn *turn, const struct person *person)
{
    take_person(turn, person);
    turn_copy(turn->counter.person, sizeof turn->counter.person, person->serial);
    turn_copy(turn->counter.run, sizeof turn->counter.run, turn->desk->run);
    turn->counter.person_mono_ms = turn->act->moment.mono_ms;
    set_booking(turn);
}

void turn_sign_out(struct turn *turn)
{
    turn->counter.person[0] = '\0';
}

/* Does what the movement says move the resin in its container? A printer with a mixer stirs while it prints, and what
 * is carried or poured does not settle. Common practice, no source. */
static bool stirs(const struct movement *movement)
{
    switch (movement->kind) {
    case MOVEMENT_RECEIPT:
    case MOVEMENT_CHECK_IN:
        return strchr("VTCR", movement->unit[0]) != NULL;
    case MOVEMENT_POUR:
    case MOVEMENT_USE:
        return true;
    default:
        return false;
    }
}

bool turn_book(struct turn *turn, struct movement *movement, struct fault *fault)
{
    if (stirs(movement) && !movement_detail_set_flag(movement->detail, "stirred", fault))
        return false;
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

struct sought {
    const char *code, *unit;
    int64_t seq; /* 0: none found */
};

static bool look_for_question(const struct question *question, void *context)
{
    struct sought *sought = context;
    if (strcmp(question->code, sought->code) == 0 && strcmp(question->unit, sought->unit) == 0)
        sought->seq = question->seq;
    return sought->seq == 0;
}

bool turn_find_question(struct turn *turn, const char *code, const char *unit, int64_t *seq, struct fault *fault)
{
    struct sought sought = {.code = code, .unit = unit};
    if (!question_each_open(turn->ledger, INT64_MAX, look_for_question, &sought, fault))
        return false;
    *seq = sought.seq;
    return true;
}

bool turn_question_once(struct turn *turn, const char *code, const char *unit, const char *note, struct fault *fault)
{
    int64_t seq;
    return turn_find_question(turn, code, unit, &seq, fault) &&
           (seq > 0 || turn_question(turn, code, unit, note, fault));
}

bool turn_may_here(struct turn *turn, const char *deed)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    turn_judge_person(turn, deed, &list);
    if (list.count == 0)
        return true;
    counter_say(&turn->counter, "%s", list.reasons[0].sentence);
    turn->counter.verdict = list;
    return false;
}

bool turn_has_person(struct turn *turn, const char *deed, const char *what_for)
{
    if (turn->person[0] != '\0')
        return turn_may_here(turn, deed);
    counter_ask(&turn->counter, "Scan your badge %s.", what_for);
    return false;
}
