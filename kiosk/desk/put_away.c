#include "kiosk/desk/put_away.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/catalogue.h"

static bool book(struct turn *turn, const char *serial, const char *place, struct fault *fault)
{
    struct movement move;
    movement_init(&move, MOVEMENT_PUT_AWAY);
    turn_copy(move.unit, sizeof move.unit, serial);
    turn_copy(move.place, sizeof move.place, place);
    return turn_book(turn, &move, fault);
}

bool put_away_group(struct turn *turn, const char *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!turn_has_person(turn, "put-away", "and the shelf again, to put this away"))
        return true;
    size_t moved = 0;
    char last[SERIAL_SIZE] = "";
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        bool found;
        if (!unit_load(turn->ledger, counter->units[i].serial, &unit, &found, fault))
            return false;
        if (!found || unit.status != UNIT_IN)
            continue; /* somebody took it meanwhile: it is not here to put away */
        if (!book(turn, unit.serial, place, fault))
            return false;
        turn_copy(last, sizeof last, unit.serial);
        moved++;
    }
    if (moved == 0) {
        counter_ask(counter, "None of this is in storage any more, so nothing was put away: scan it again.");
        return true;
    }
    const bool proving = counter->step == STEP_PROOF;
    counter->unit_count = 0;
    if (!proving)
        counter_clear_group(counter);
    if (moved == 1)
        counter_say(counter, "Booked: %s stands at %s.", last, place);
    else
        counter_say(counter, "Booked: %zu things stand at %s.", moved, place);
    return true;
}

bool put_away_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "place", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct place place;
    char serial[SERIAL_SIZE], code[PLACE_SIZE];
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_code(content, "place", CONTENT_REQUIRED, code, sizeof code, fault) ||
        !place_load(context->ledger, code, &place, &found, fault))
        return false;
    if (!found || !place_keeps(&place))
        return fault_set(fault, FAULT_MISSING, "'%s' is not a shelf of this room: scan the shelf or enter it", code);
    if (!book(&turn, serial, code, fault))
        return false;
    counter_say(&turn.counter, "Booked: %s stands at %s.", serial, code);
    return turn_answer(&turn, answer, fault);
}
