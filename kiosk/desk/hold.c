#include "kiosk/desk/hold.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/catalogue.h"

static bool book(struct turn *turn, enum movement_kind kind, const char *serial, const char *reason,
                 struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, kind);
    turn_copy(movement.unit, sizeof movement.unit, serial);
    turn_copy(movement.word, sizeof movement.word, reason);
    return turn_book(turn, &movement, fault);
}

bool hold_group(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const size_t count = counter->unit_count;
    if (count == 0) {
        counter_note(counter, "Scan what goes on hold first.");
        return true;
    }
    if (!turn_has_person(turn, "hold", "to put this on hold"))
        return true;
    for (size_t i = 0; i < count; i++)
        if (!book(turn, MOVEMENT_HOLD, counter->units[i].serial, "said-at-counter", fault))
            return false;
    counter_clear_group(counter);
    counter_say(counter, "On hold: %zu thing%s. Put %s aside for the storekeeper.", count, count == 1 ? "" : "s",
                count == 1 ? "it" : "them");
    return true;
}

static bool read_unit(struct turn *turn, const json_t *content, struct unit *unit, struct fault *fault)
{
    char serial[SERIAL_SIZE];
    return content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) &&
           thing_require_unit(turn->ledger, serial, unit, fault);
}

bool hold_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "reason", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit unit;
    char reason[WORD_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !read_unit(&turn, content, &unit, fault) ||
        !content_word(content, "reason", CONTENT_REQUIRED, reason, sizeof reason, fault) ||
        !book(&turn, MOVEMENT_HOLD, unit.serial, reason, fault))
        return false;
    counter_say(&turn.counter, "On hold: %s, %s.", unit.serial, reason);
    return turn_answer(&turn, answer, fault);
}

bool release_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit unit;
    struct item item;
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !read_unit(&turn, content, &unit, fault) || !item_load(turn.ledger, unit.item, &item, &found, fault))
        return false;
    if (unit.hold[0] == '\0')
        return fault_set(fault, FAULT_REFUSED, "%s is not on hold: nothing to release", unit.serial);
    if (found && item.provisional) /* whatever else it is held for */
        return fault_set(fault, FAULT_REFUSED, "%s is held until its item is completed: complete item %s instead",
                         unit.serial, unit.item);
    if (!turn_approve(&turn, "approves what is released", fault) ||
        !book(&turn, MOVEMENT_RELEASE, unit.serial, unit.hold, fault))
        return false;
    counter_say(&turn.counter, "Released: %s.", unit.serial);
    return turn_answer(&turn, answer, fault);
}
