#include "kiosk/desk/delivery.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/receive.h"
#include "kiosk/ledger/movement_detail.h"

bool delivery_is_open(struct turn *turn, bool *open, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct delivery delivery;
    bool found = false;
    if (counter->delivery[0] != '\0' && !delivery_load(turn->ledger, counter->delivery, &delivery, &found, fault))
        return false;
    *open = found && delivery.open;
    if (!*open)
        counter->delivery[0] = '\0';
    return true;
}

/* An outer carton belongs to the delivery it came with. */
static void go_to(struct counter *counter, const char *delivery)
{
    turn_copy(counter->delivery, sizeof counter->delivery, delivery);
    counter->carton.booked = 0;
}

static bool open_delivery(struct turn *turn, const char *supplier, const char *note, struct fault *fault)
{
    struct movement open;
    movement_init(&open, MOVEMENT_DELIVERY_OPEN);
    struct builder id;
    int64_t seq;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(turn->ledger, &seq, hash, fault))
        return false;
    builder_init(&id, open.delivery, sizeof open.delivery);
    builder_addf(&id, "D-%lld", (long long)seq + 1); /* as unique as the number of its movement */
    json_t *detail = json_pack("{s:s}", "supplier", supplier);
    const bool written = movement_detail_write(detail, open.detail, fault);
    json_decref(detail);
    if (!written)
        return false;
    if (note[0] != '\0' && !ledger_text_put(turn->ledger, note, open.text, fault))
        return false;
    if (!turn_book(turn, &open, fault))
        return false;
    go_to(&turn->counter, open.delivery);
    return true;
}

bool delivery_key(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    bool open;
    if (!delivery_is_open(turn, &open, fault))
        return false;
    if (open) {
        counter_say(counter, "A delivery is open already: scan the maker's code on each pack.");
        return true;
    }
    if (!turn_has_person(turn, "delivery-open", "and the card DELIVERY again, to open a delivery"))
        return true;
    if (!open_delivery(turn, "not said", "", fault))
        return false;
    if (counter->receipt.quantity == 0) {
        counter_say(counter, "A delivery is open: scan the maker's code on each pack.");
        return true;
    }
    return receive_begin(turn, fault);
}

bool delivery_open_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"supplier", "note", NULL};
    struct turn turn;
    char supplier[65], note[241];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_text(context->act->content, "supplier", CONTENT_REQUIRED, supplier, sizeof supplier, fault) ||
        !content_text(context->act->content, "note", CONTENT_OPTIONAL, note, sizeof note, fault) ||
        !open_delivery(&turn, supplier, note, fault))
        return false;
    counter_clear_group(&turn.counter);
    counter_say(&turn.counter, "The delivery from %s is open: scan the maker's code on each pack.", supplier);
    return turn_answer(&turn, answer, fault);
}

/* Another counter, or this one after another delivery, goes on with one that is open. Nothing is booked. */
bool delivery_resume_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"delivery", NULL};
    struct turn turn;
    struct delivery delivery;
    char id[DELIVERY_SIZE];
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_text(context->act->content, "delivery", CONTENT_REQUIRED, id, sizeof id, fault) ||
        !delivery_load(turn.ledger, id, &delivery, &found, fault))
        return false;
    if (!found || !delivery.open)
        return fault_set(fault, FAULT_MISSING, "delivery '%s' is not open: open one first", id);
    go_to(&turn.counter, id);
    counter_clear_group(&turn.counter);
    counter_say(&turn.counter, "The delivery from %s goes on: scan the maker's code on each pack.", delivery.supplier);
    return turn_answer(&turn, answer, fault);
}

bool delivery_close_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"delivery", NULL};
    struct turn turn;
    struct movement close;
    movement_init(&close, MOVEMENT_DELIVERY_CLOSE);
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_text(context->act->content, "delivery", CONTENT_REQUIRED, close.delivery, sizeof close.delivery,
                      fault) ||
        !turn_book(&turn, &close, fault))
        return false;
    if (strcmp(turn.counter.delivery, close.delivery) == 0)
        turn.counter.delivery[0] = '\0';
    counter_clear_group(&turn.counter);
    counter_say(&turn.counter, "The delivery is closed.");
    return turn_answer(&turn, answer, fault);
}
