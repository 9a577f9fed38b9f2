#include "kiosk/desk/care.h"

#include <string.h>

#include "kiosk/desk/check_in.h"
#include "kiosk/desk/check_out.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"

/* One kind of care: which things can have it, and the words for it. */
struct care_kind {
    const char *deed; /* act, and row of kiosk/rules/permission.c */
    enum movement_kind movement;
    enum reason_code asked_by;
    bool (*suits)(const struct unit *unit);
    const char *scan_first, *badge_for, *done;
    const char *unsuitable; /* "… has nothing to stir" */
};

static bool holds_resin(const struct unit *unit)
{
    return unit->resin[0] != '\0' && unit->amount_ul != 0 && strchr("VTCR", unit->serial[0]);
}

static bool is_platform(const struct unit *unit)
{
    return unit->serial[0] == 'P';
}

static const struct care_kind stirring = {
    .deed = "stir",
    .movement = MOVEMENT_STIR,
    .asked_by = REASON_STIR_DUE,
    .suits = holds_resin,
    .scan_first = "Scan the vat, cartridge or bottle that was stirred, then the card.",
    .badge_for = "to say who stirred it, then STIRRED again",
    .done = "was stirred",
    .unsuitable = "holds no resin: there is nothing to stir",
};

static const struct care_kind surfacing = {
    .deed = "surface-renewed",
    .movement = MOVEMENT_SURFACE_RENEWAL,
    .asked_by = REASON_SURFACE_WORN,
    .suits = is_platform,
    .scan_first = "Scan the platform that got a new surface, then the card.",
    .badge_for = "to say who renewed it, then NEW-SURFACE again",
    .done = "has a new surface",
    .unsuitable = "is no platform: it has no surface to renew",
};

static bool book(struct turn *turn, const struct care_kind *kind, const char *serial, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, kind->movement);
    turn_copy(movement.unit, sizeof movement.unit, serial);
    return turn_book(turn, &movement, fault);
}

/* ---- at the counter ---- */

static bool is_asked(const struct counter *counter, enum reason_code code)
{
    for (size_t i = 0; i < counter->verdict.count; i++)
        if (counter->verdict.reasons[i].code == code)
            return counter->step == STEP_CHECK_OUT;
    return false;
}

struct suited {
    char serials[COUNTER_UNITS][SERIAL_SIZE];
    size_t count;
    char hold[WORD_SIZE]; /* of the last one */
};

static bool find_suited(struct turn *turn, const struct care_kind *kind, struct suited *suited, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    *suited = (struct suited){.count = 0};
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        if (!thing_require_unit(turn->ledger, counter->units[i].serial, &unit, fault))
            return false;
        if (!kind->suits(&unit))
            continue;
        turn_copy(suited->serials[suited->count++], SERIAL_SIZE, unit.serial);
        turn_copy(suited->hold, sizeof suited->hold, unit.hold);
    }
    return true;
}

static void close_group(struct turn *turn, const struct care_kind *kind, const struct suited *suited)
{
    struct counter *counter = &turn->counter;
    counter_clear_group(counter);
    if (suited->count > 1)
        counter_say(counter, "Booked: each of the %zu things %s.", suited->count, kind->done);
    else if (suited->hold[0] != '\0')
        counter_say(counter, "Booked: %s %s. It is on hold: %s.", suited->serials[0], kind->done, suited->hold);
    else
        counter_say(counter, "Booked: %s %s.", suited->serials[0], kind->done);
    turn_sign_out(turn);
}

/* Of things that come back only the one in hand: what was said of several is not thrown away by this. */
static bool may_begin(const struct counter *counter)
{
    return counter->step == STEP_CHECK_OUT || counter->step == STEP_PROOF ||
           (counter->step == STEP_CHECK_IN && counter->unit_count == 1);
}

static bool card(struct turn *turn, const struct care_kind *kind, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct suited suited;
    const bool asked = is_asked(counter, kind->asked_by);
    if (!find_suited(turn, kind, &suited, fault))
        return false;
    if (!may_begin(counter) || suited.count == 0) {
        counter_note(counter, "%s", kind->scan_first);
        return true;
    }
    if (check_in_comes_first(counter))
        return true;
    if (!turn_has_person(turn, kind->deed, kind->badge_for))
        return true;
    for (size_t i = 0; i < suited.count; i++)
        if (!book(turn, kind, suited.serials[i], fault))
            return false;
    if (asked)
        return check_out_show(turn, fault);
    close_group(turn, kind, &suited);
    return true;
}

bool care_stirred(struct turn *turn, struct fault *fault)
{
    return card(turn, &stirring, fault);
}

bool care_new_surface(struct turn *turn, struct fault *fault)
{
    return card(turn, &surfacing, fault);
}

/* ---- by a script or the page ---- */

static bool care_act(struct act_context *context, const struct care_kind *kind, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit unit;
    char serial[SERIAL_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !thing_require_unit(turn.ledger, serial, &unit, fault))
        return false;
    if (!kind->suits(&unit))
        return fault_set(fault, FAULT_INPUT, "%s %s", serial, kind->unsuitable);
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who did it");
    if (!book(&turn, kind, serial, fault))
        return false;
    counter_say(&turn.counter, "Booked: %s %s.", serial, kind->done);
    return turn_answer(&turn, answer, fault);
}

bool stir_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    return care_act(context, &stirring, answer, fault);
}

bool surface_renewed_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    return care_act(context, &surfacing, answer, fault);
}
