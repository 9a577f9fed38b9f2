#include "kiosk/desk/hold.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/catalogue.h"

static bool is_of_outlet(const char *reason)
{
    return strcmp(reason, "outlet-stuck") == 0 || strcmp(reason, "outlet-leaks") == 0;
}

static bool book(struct turn *turn, enum movement_kind kind, const char *serial, const char *reason,
                 struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, kind);
    turn_copy(movement.unit, sizeof movement.unit, serial);
    turn_copy(movement.word, sizeof movement.word, reason);
    return turn_book(turn, &movement, fault);
}

/* A cartridge whose outlet is at fault is its supplier's to answer for: the storekeeper hears whose. */
static bool claim(struct turn *turn, const struct unit *unit, const char *reason, struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    struct delivery delivery;
    bool found = false;
    if (unit->serial[0] != 'C' || !is_of_outlet(reason))
        return true;
    if (unit->delivery[0] != '\0' && !delivery_load(turn->ledger, unit->delivery, &delivery, &found, fault))
        return false;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "The outlet of %s %s: item %s, lot %s. ", unit->serial,
                 strcmp(reason, "outlet-leaks") == 0 ? "leaks" : "does not open", unit->item,
                 unit->lot[0] ? unit->lot : "unknown");
    if (found)
        builder_addf(&out, "It came with delivery %s of %s: claim it there.", delivery.id, delivery.supplier);
    else
        builder_add(&out, "It was taken on: nobody has said with which delivery it came.");
    text_end_whole(note);
    return turn_question(turn, "supplier-claim", unit->serial, note, fault);
}

static bool book_hold(struct turn *turn, const struct unit *unit, const char *reason, struct fault *fault)
{
    return book(turn, MOVEMENT_HOLD, unit->serial, reason, fault) && claim(turn, unit, reason, fault);
}

bool hold_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const char *reason = strcmp(card, "OUTLET-STUCK") == 0 ? "outlet-stuck" : "outlet-leaks";
    struct unit unit;
    *mine = strcmp(card, "OUTLET-STUCK") == 0 || strcmp(card, "OUTLET-LEAKS") == 0;
    if (!*mine)
        return true;
    if (counter->unit_count != 1 || counter->units[0].serial[0] != 'C') {
        counter_note(counter, "Scan the one cartridge whose outlet it is, then the card.");
        return true;
    }
    if (!turn_has_person(turn, "hold", "to put this on hold, then the card again"))
        return true;
    if (!thing_require_unit(turn->ledger, counter->units[0].serial, &unit, fault) ||
        !book_hold(turn, &unit, reason, fault))
        return false;
    counter_clear_group(counter);
    counter_say(counter, "On hold: %s, %s. Keep it upright in a tray; the storekeeper claims it.", unit.serial,
                strcmp(reason, "outlet-leaks") == 0 ? "its outlet leaks" : "its outlet does not open");
    return true;
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
        !book_hold(&turn, &unit, reason, fault))
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
