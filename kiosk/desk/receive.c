#include "kiosk/desk/receive.h"

#include <string.h>

#include "kiosk/desk/delivery.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/receive_parts.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/rules/receipt.h"

bool receive_item_of(struct ledger *ledger, const struct counter_receipt *receipt, struct item *item,
                     struct fault *fault)
{
    bool found = false;
    if (receipt->item[0] != '\0' && !item_load(ledger, receipt->item, item, &found, fault))
        return false;
    if (found)
        return true;
    *item = (struct item){.letter = 'C',
                          .content_ul = receipt->content_ul,
                          .minimum_days = MOVEMENT_NULL,
                          .life_minutes = MOVEMENT_NULL,
                          .density_mg_ml = MOVEMENT_NULL,
                          .stir_days = MOVEMENT_NULL,
                          .inspect_minutes = MOVEMENT_NULL,
                          .surface_minutes = MOVEMENT_NULL,
                          .provisional = true};
    struct builder name;
    builder_init(&name, item->name, sizeof item->name);
    builder_addf(&name, "Item %s", receipt->gtin[0] ? receipt->gtin : receipt->maker_code);
    turn_copy(item->gtin, sizeof item->gtin, receipt->gtin);
    turn_copy(item->maker_code, sizeof item->maker_code, receipt->maker_code);
    return true;
}

enum { RECEIPT_ASK_OVER = 200 }; /* labels */

const char *receive_judge(const struct moment *moment, const struct item *item, int64_t expires,
                          struct verdict_list *list)
{
    return receipt_judge(
        &(struct receipt_case){.name = item->name,
                               .provisional = item->provisional,
                               .holds_resin = item->resin[0] != '\0' || item->provisional,
                               .has_expires = expires != MOVEMENT_NULL,
                               .expires = {expires != MOVEMENT_NULL ? (int32_t)expires : 0},
                               .minimum_days = item->minimum_days == MOVEMENT_NULL ? 0 : item->minimum_days,
                               .today = moment->local_day,
                               .clock_trusted = moment->trusted},
        list);
}

bool receive_hold(struct ledger *ledger, const struct counter_receipt *receipt, const struct moment *moment,
                  char hold[WORD_SIZE], struct fault *fault)
{
    struct item item;
    struct verdict_list list;
    if (!receive_item_of(ledger, receipt, &item, fault))
        return false;
    const char *found = receive_judge(moment, &item, receipt->expires, &list);
    turn_copy(hold, WORD_SIZE, receipt->hold[0] ? receipt->hold : found);
    return true;
}

/* What the codes were understood as besides: how many of the outer carton were scanned. */
static void say_inner(struct counter *counter, struct builder *title)
{
    const struct carton *const codes = &counter->carton.codes;
    const int64_t outer = carton_total(codes).outer;
    if (outer > 0 && codes->inner > 0)
        builder_addf(title, " %lld of %lld scanned.", (long long)codes->inner, (long long)outer);
}

static void judge_carton(struct counter *counter)
{
    const struct counter_carton *const carton = &counter->carton;
    const struct counter_receipt *const receipt = &counter->receipt;
    if (!receive_names_item(receipt))
        verdict_add(&counter->verdict, REASON_NO_ITEM, "", "What was scanned so far says lot or date, but no item.");
    else if (carton->booked > 0 && carton_total(&carton->codes).outer == 0 &&
             strcmp(carton->booked_item, receipt->item) == 0 && strcmp(carton->booked_lot, receipt->lot) == 0)
        verdict_add(&counter->verdict, REASON_PART_OF_CARTON, "",
                    "The outer carton was received with %lld of these, and all have their label: is this one more?",
                    (long long)carton->booked);
}

bool receive_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct counter_receipt *const receipt = &counter->receipt;
    const bool named = receive_names_item(receipt);
    struct item item;
    struct verdict_list list = {.count = 0};
    char text[COUNTER_TITLE_SIZE];
    struct builder title;
    if (named && !receive_item_of(turn->ledger, receipt, &item, fault))
        return false;
    counter->step = STEP_RECEIPT;
    counter->unit_count = 0;
    counter->carton.asks = CARTON_ASKS_NOTHING;
    builder_init(&title, text, sizeof text);
    if (named) {
        (void)receive_judge(&turn->act->moment, &item, receipt->expires, &list);
        builder_addf(&title, "Receive %lld × %s%s%s?", (long long)receipt->quantity, item.name,
                     receipt->lot[0] ? ", lot " : "", receipt->lot);
    } else {
        builder_addf(&title, "%s%s, but of which item?", receipt->lot[0] ? "Lot " : "A date or serial", receipt->lot);
    }
    say_inner(counter, &title);
    counter_say(counter, "%s", text);
    counter->verdict = list;
    judge_carton(counter);
    return true;
}

bool receive_names_item(const struct counter_receipt *receipt)
{
    return receipt->item[0] || receipt->gtin[0] || receipt->maker_code[0];
}

void receive_keep_proposal(struct counter *counter)
{
    const struct counter_receipt receipt = counter->receipt;
    const struct carton codes = counter->carton.codes;
    counter_clear_group(counter);
    counter->receipt = receipt;
    counter->carton.codes = codes;
}

static bool enter_provisional(struct turn *turn, struct item *item, struct fault *fault)
{
    struct movement entry;
    movement_init(&entry, MOVEMENT_ITEM_ENTRY);
    if (!item_next_provisional(turn->ledger, item->code, fault))
        return false;
    turn_copy(entry.item, sizeof entry.item, item->code);
    return item_write_detail(item, entry.detail, fault) && turn_book(turn, &entry, fault);
}

bool receive_book(struct turn *turn, const struct item *item, const struct counter_receipt *receipt, const char *hold,
                  struct fault *fault)
{
    for (int64_t i = 0; i < receipt->quantity; i++) {
        struct movement in;
        movement_init(&in, MOVEMENT_RECEIPT);
        if (!ledger_next_serial(turn->ledger, item->letter, in.unit, fault))
            return false;
        turn_copy(in.item, sizeof in.item, item->code);
        turn_copy(in.lot, sizeof in.lot, receipt->lot);
        turn_copy(in.delivery, sizeof in.delivery, turn->counter.delivery);
        turn_copy(in.word, sizeof in.word, hold);
        in.expires = receipt->expires;
        in.filled = receipt->made; /* a cartridge was filled by its maker */
        if (strchr("CR", item->letter))
            in.amount_ul = receipt->content_ul != MOVEMENT_NULL ? receipt->content_ul : item->content_ul;
        if (!turn_book(turn, &in, fault) || !labels_order(turn, in.unit, fault))
            return false;
    }
    return true;
}

static bool quantity_is_right(struct turn *turn, int64_t quantity)
{
    if (quantity >= 1 && quantity <= RECEIPT_QUANTITY_MAX)
        return true;
    counter_ask(&turn->counter, "%lld is not a quantity for one receipt (1 to %d): correct it, or receive in parts.",
                (long long)quantity, RECEIPT_QUANTITY_MAX);
    return false;
}

/* An outer carton was received: its packs are about to be labelled one by one. */
static void remember_carton(struct counter *counter, const struct counter_receipt *receipt)
{
    struct counter_carton *const carton = &counter->carton;
    carton->booked = carton_total(&carton->codes).outer > 0 ? receipt->quantity : 0;
    turn_copy(carton->booked_item, sizeof carton->booked_item, receipt->item);
    turn_copy(carton->booked_lot, sizeof carton->booked_lot, receipt->lot);
}

bool receive_say(struct turn *turn, const struct item *item, const struct counter_receipt *receipt, const char *hold,
                 struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool one = receipt->quantity == 1, has_code = item->gtin[0] != '\0' || item->maker_code[0] != '\0';
    bool swapped = false;
    if (!labels_may_be_swapped(turn, counter->delivery, item->code, receipt->lot, &swapped, fault))
        return false;
    counter_clear_group(counter);
    counter->step = STEP_PROOF;
    counter_say(counter, "Received %lld × %s%s%s. %s %s", (long long)receipt->quantity, item->name,
                hold[0] ? ", on hold: " : "", hold,
                one ? "A label is coming out: stick it on." : "The labels are coming out: stick each on.",
                swapped && has_code ? "Several lots came: scan the maker's code on the thing first, then its label."
                                    : (one ? "Then scan it." : "Then scan each."));
    return true;
}

bool receive_must_ask(struct turn *turn, const struct counter_receipt *receipt, const char *name)
{
    struct counter *counter = &turn->counter;
    if (receipt->quantity <= RECEIPT_ASK_OVER || receipt->asked == receipt->quantity)
        return false;
    counter->receipt = *receipt;
    receive_keep_proposal(counter);
    counter->step = STEP_RECEIPT;
    counter->receipt.asked = receipt->quantity;
    counter_ask(counter, "%lld × %s: that is %lld labels. Are so many meant?", (long long)receipt->quantity, name,
                (long long)receipt->quantity);
    return true;
}

bool receive_confirm(struct turn *turn, int64_t quantity, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct counter_receipt receipt = counter->receipt;
    struct item item;
    struct verdict_list list;
    if (quantity != MOVEMENT_NULL)
        receipt.quantity = quantity;
    if (!receive_names_item(&receipt))
        return receive_show(turn, fault);
    if (!quantity_is_right(turn, receipt.quantity))
        return true;
    if (!turn_has_person(turn, "receive", "to receive this"))
        return true;
    bool open;
    if (!delivery_is_open(turn, &open, fault))
        return false;
    if (!open) {
        counter->receipt = receipt;
        receive_keep_proposal(counter);
        counter_object(counter, REASON_NO_DELIVERY, "", "The delivery was closed meanwhile: is this a new one?");
        counter->carton.asks = CARTON_ASKS_DELIVERY;
        return true;
    }
    if (!receive_item_of(turn->ledger, &receipt, &item, fault))
        return false;
    if (receive_must_ask(turn, &receipt, item.name))
        return true;
    if (item.code[0] == '\0' && !enter_provisional(turn, &item, fault))
        return false;
    const char *hold = receive_judge(&turn->act->moment, &item, receipt.expires, &list);
    if (receipt.hold[0] != '\0')
        hold = receipt.hold;
    turn_copy(receipt.item, sizeof receipt.item, item.code);
    if (!receive_book(turn, &item, &receipt, hold, fault))
        return false;
    remember_carton(counter, &receipt);
    return receive_say(turn, &item, &receipt, hold, fault);
}
