#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/receive_parts.h"
#include "kiosk/desk/typed_lot.h"

/* What has no code that could be scanned is received by a form. */

static bool known_item(struct ledger *ledger, const char *code, struct item *item, struct fault *fault)
{
    bool found;
    if (!item_load(ledger, code, item, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_MISSING, "item '%s' is not in the catalogue: enter it first", code);
}

static bool no_delivery(const char *id, json_t *ask, struct fault *fault)
{
    json_decref(ask);
    return fault_set(fault, FAULT_MISSING, "delivery '%s' is not open: open one first", id);
}

/* Nothing is booked and the counter stays as it is: the form asks, and sends the act again with the answer. */
static bool answer_ask(struct turn *turn, json_t *ask, json_t **answer, struct fault *fault)
{
    if (!turn_answer(turn, answer, fault)) {
        json_decref(ask);
        return false;
    }
    json_object_set_new(*answer, "ask", ask);
    return true;
}

bool receive_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"delivery", "item", "lot",     "lot_sure", "expires",
                                       "quantity", "hold", "confirm", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct counter_receipt receipt = {.made = MOVEMENT_NULL, .content_ul = MOVEMENT_NULL};
    struct item item;
    struct delivery delivery;
    struct verdict_list list;
    char id[DELIVERY_SIZE];
    bool found, confirmed;
    json_t *ask = NULL;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_text(content, "delivery", CONTENT_REQUIRED, id, sizeof id, fault) ||
        !content_code(content, "item", CONTENT_REQUIRED, receipt.item, sizeof receipt.item, fault) ||
        !content_day(content, "expires", &receipt.expires, fault) ||
        !content_count(content, "quantity", CONTENT_REQUIRED, 1, RECEIPT_QUANTITY_MAX, &receipt.quantity, fault) ||
        !content_word(content, "hold", CONTENT_OPTIONAL, receipt.hold, sizeof receipt.hold, fault) ||
        !content_flag(content, "confirm", &confirmed, fault) ||
        !delivery_load(context->ledger, id, &delivery, &found, fault) ||
        !known_item(context->ledger, receipt.item, &item, fault) ||
        !typed_lot_read(context->ledger, content, receipt.item, receipt.lot, &ask, fault))
        return false;
    if (!found || !delivery.open)
        return no_delivery(id, ask, fault);
    if (ask)
        return answer_ask(&turn, ask, answer, fault);
    turn_copy(turn.counter.delivery, sizeof turn.counter.delivery, id);
    if (!confirmed && receive_must_ask(&turn, &receipt, item.name))
        return turn_answer(&turn, answer, fault);
    const char *hold = receive_judge(&turn.act->moment, &item, receipt.expires, &list);
    if (receipt.hold[0] != '\0')
        hold = receipt.hold;
    if (!receive_book(&turn, &item, &receipt, hold, fault))
        return false;
    return receive_say(&turn, &item, &receipt, hold, fault) && turn_answer(&turn, answer, fault);
}
