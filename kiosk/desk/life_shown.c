#include "kiosk/desk/life_shown.h"

#include <string.h>

#include "kiosk/desk/card_number.h"
#include "kiosk/desk/check_in.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/rules/life_shown.h"

#define QUESTION "life-differs"

enum { HOURS_MOST = 100000, MINUTES_AN_HOUR = 60 };

static bool runs_in_light(const char *serial)
{
    return strchr("VTP", serial[0]) != NULL;
}

/* FAULT_INPUT: no printer shows a life of such a thing; FAULT_REFUSED: none is rated, there is nothing to compare with.
 */
static bool load(struct turn *turn, const char *serial, struct thing *thing, struct fault *fault)
{
    if (!thing_require(turn->ledger, serial, thing, fault))
        return false;
    if (!runs_in_light(serial))
        return fault_set(fault, FAULT_INPUT, "%s is no vat and no platform: no printer shows how long it lasts",
                         serial);
    return thing->item.life_minutes > 0 ||
           fault_set(fault, FAULT_REFUSED,
                     "no rated life is entered for %s, so there is nothing to compare with: a storekeeper enters its "
                     "hours with the item %s on the page Room",
                     serial, thing->item.code);
}

static long long hours(int64_t minutes)
{
    return (long long)(minutes / MINUTES_AN_HOUR);
}

/* Once, however often it is read until somebody has settled it: each reading stands in the ledger. */
static bool ask_once(struct turn *turn, const struct thing *thing, const struct life_shown *reading,
                     struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(
        &out,
        "The printer shows %lld h left of %s, our books %lld h (%lld of %lld used). Look who used it elsewhere, "
        "whether hours were not said or the printer's count was reset; then settle.",
        hours(reading->shown_minutes), thing->unit.serial, hours(life_shown_left(reading)),
        hours(reading->used_minutes), hours(reading->life_minutes));
    return turn_question_once(turn, QUESTION, thing->unit.serial, note, fault);
}

/* Rated and left by our books as they were then: the ledger keeps both numbers beside the one that was read. Where
 * nobody knew, the printer's count is the best there is, and the books take it. */
static bool book_reading(struct turn *turn, const struct thing *thing, const struct life_shown *reading,
                         struct fault *fault)
{
    const int64_t left = life_shown_left(reading);
    struct movement shown;
    movement_init(&shown, MOVEMENT_LIFE_SHOWN);
    turn_copy(shown.unit, sizeof shown.unit, thing->unit.serial);
    shown.minutes = reading->shown_minutes;
    json_t *object = json_pack("{s:I}", "life", (json_int_t)reading->life_minutes);
    if (left >= 0)
        (void)json_object_set_new(object, "left", json_integer(left));
    else
        (void)json_object_set_new(object, "used", json_integer(life_shown_used(reading)));
    const bool written = movement_detail_write(object, shown.detail, fault);
    json_decref(object);
    return written && turn_book(turn, &shown, fault);
}

static void say(struct counter *counter, const char *serial, const struct life_shown *reading)
{
    const int64_t left = life_shown_left(reading);
    const long long shown = hours(reading->shown_minutes);
    if (left < 0)
        counter_say(
            counter,
            "Booked: the printer shows %lld h left of %s. Our books did not know its hours: they take %lld of %lld "
            "used from it.",
            shown, serial, hours(life_shown_used(reading)), hours(reading->life_minutes));
    else if (life_shown_differs(reading))
        counter_say(counter,
                    "Booked: the printer shows %lld h left of %s, our books %lld. The storekeeper is asked which is "
                    "right; nothing else changes.",
                    shown, serial, hours(left));
    else
        counter_say(counter, "Booked: %s has %lld h left, the printer shows %lld.", serial, hours(left), shown);
}

static bool book(struct turn *turn, const struct thing *thing, int64_t shown_minutes, struct fault *fault)
{
    const struct life_shown reading = {
        .life_minutes = thing->item.life_minutes, .used_minutes = thing->unit.minutes, .shown_minutes = shown_minutes};
    if (!book_reading(turn, thing, &reading, fault) ||
        (life_shown_differs(&reading) && !ask_once(turn, thing, &reading, fault)))
        return false;
    counter_clear_group(&turn->counter);
    say(&turn->counter, thing->unit.serial, &reading);
    return true;
}

/* ---- at the counter ---- */

/* The same refusals as sentences on the screen. */
static bool load_or_say(struct turn *turn, struct thing *thing, bool *loaded, struct fault *fault)
{
    struct fault why = {0};
    *loaded = load(turn, turn->counter.units[0].serial, thing, &why);
    if (*loaded)
        return true;
    if (why.code != FAULT_INPUT && why.code != FAULT_REFUSED) {
        if (fault)
            *fault = why;
        return false;
    }
    counter_note(&turn->counter, "Nothing is booked: %s.", why.text);
    return true;
}

bool life_shown_show(struct turn *turn, struct fault *fault)
{
    (void)fault;
    struct counter *counter = &turn->counter;
    const struct counter_unit *unit = &counter->units[0];
    if (unit->minutes == MOVEMENT_NULL)
        counter_ask(counter, "How many hours does the printer show left of %s? Cards of hours add up, then YES.",
                    unit->serial);
    else
        counter_ask(counter, "The printer shows %lld h left of %s? Another card of hours adds to it, 0H begins anew.",
                    hours(unit->minutes), unit->serial);
    return true;
}

bool life_shown_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct thing thing;
    bool loaded;
    const bool may = counter->step == STEP_CHECK_OUT || counter->step == STEP_CHECK_IN || counter->step == STEP_PROOF;
    if (!may || counter->unit_count != 1 || !runs_in_light(counter->units[0].serial)) {
        counter_note(counter, "Scan the one vat or platform whose life the printer shows, then the card.");
        return true;
    }
    if (check_in_comes_first(counter))
        return true;
    if (!load_or_say(turn, &thing, &loaded, fault))
        return false;
    if (!loaded)
        return true;
    counter->step = STEP_LIFE;
    counter->place[0] = '\0';
    counter->units[0].minutes = MOVEMENT_NULL;
    return life_shown_show(turn, fault);
}

bool life_shown_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct counter_unit *unit = &counter->units[0];
    int64_t said;
    *mine = counter->step == STEP_LIFE;
    if (!*mine)
        return true;
    if (!card_number_read(card, "H", HOURS_MOST, &said)) {
        counter_note(counter, "The card %s says no hours.", card);
        return true;
    }
    const int64_t before = said == 0 || unit->minutes == MOVEMENT_NULL ? 0 : unit->minutes;
    const int64_t sum = before + said * MINUTES_AN_HOUR;
    if (sum > (int64_t)HOURS_MOST * MINUTES_AN_HOUR) {
        counter_ask(counter, "That makes more than %d h: 0H begins anew.", HOURS_MOST);
        return true;
    }
    unit->minutes = sum;
    return life_shown_show(turn, fault);
}

bool life_shown_confirm(struct turn *turn, struct fault *fault)
{
    const struct counter_unit *unit = &turn->counter.units[0];
    struct thing thing;
    bool loaded;
    if (unit->minutes == MOVEMENT_NULL)
        return life_shown_show(turn, fault);
    if (!turn_has_person(turn, "life-shown", "to say who read it, then YES"))
        return true;
    if (!load_or_say(turn, &thing, &loaded, fault))
        return false;
    if (!loaded)
        return true;
    if (!book(turn, &thing, unit->minutes, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* ---- by a script or the page ---- */

bool life_shown_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "hours", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct thing thing;
    char serial[SERIAL_SIZE];
    int64_t shown;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_count(content, "hours", CONTENT_REQUIRED, 0, HOURS_MOST, &shown, fault) ||
        !load(&turn, serial, &thing, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who read it");
    return book(&turn, &thing, shown * MINUTES_AN_HOUR, fault) && turn_answer(&turn, answer, fault);
}
