#include "kiosk/desk/receive.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/rules/receipt.h"

static bool find_item(struct ledger *ledger, const struct supplier_label *label, struct item *item, bool *found,
                      struct fault *fault)
{
    *found = false;
    if (label->item[0] == '\0')
        return true;
    return label->item_is_gtin ? item_find_gtin(ledger, label->item, item, found, fault)
                               : item_find_maker_code(ledger, label->item, item, found, fault);
}

static bool fill_receipt(struct ledger *ledger, const struct supplier_label *label, struct counter_receipt *receipt,
                         struct fault *fault)
{
    struct item item;
    bool found;
    if (!find_item(ledger, label, &item, &found, fault))
        return false;
    *receipt = (struct counter_receipt){
        .expires = label->has_expires ? label->expires.number : MOVEMENT_NULL,
        .made = label->has_made ? label->made.number : MOVEMENT_NULL,
        .day_was_00 = label->expires_day_was_00,
        .quantity = label->count >= 1 ? label->count : 1,
        .content_ul = label->content_ul > 0 ? label->content_ul : MOVEMENT_NULL,
    };
    if (found)
        turn_copy(receipt->item, sizeof receipt->item, item.code);
    if (label->item_is_gtin)
        turn_copy(receipt->gtin, sizeof receipt->gtin, label->item);
    else
        turn_copy(receipt->maker_code, sizeof receipt->maker_code, label->item);
    turn_copy(receipt->lot, sizeof receipt->lot, label->lot);
    return true;
}

static bool same_receipt(const struct counter_receipt *one, const struct counter_receipt *two)
{
    return strcmp(one->item, two->item) == 0 && strcmp(one->lot, two->lot) == 0 && strcmp(one->gtin, two->gtin) == 0 &&
           strcmp(one->maker_code, two->maker_code) == 0 && one->expires == two->expires;
}

/* The item of a proposal, or what a provisional one would be. */
static bool item_of(struct ledger *ledger, const struct counter_receipt *receipt, struct item *item,
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
                          .provisional = true};
    struct builder name;
    builder_init(&name, item->name, sizeof item->name);
    builder_addf(&name, "Item %s", receipt->gtin[0] ? receipt->gtin : receipt->maker_code);
    turn_copy(item->gtin, sizeof item->gtin, receipt->gtin);
    turn_copy(item->maker_code, sizeof item->maker_code, receipt->maker_code);
    return true;
}

enum { RECEIPT_ASK_OVER = 200 }; /* labels */

static const char *judge(const struct moment *moment, const struct item *item, int64_t expires,
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
    if (!item_of(ledger, receipt, &item, fault))
        return false;
    const char *found = judge(moment, &item, receipt->expires, &list);
    turn_copy(hold, WORD_SIZE, receipt->hold[0] ? receipt->hold : found);
    return true;
}

bool receive_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct item item;
    struct verdict_list list;
    if (!item_of(turn->ledger, &counter->receipt, &item, fault))
        return false;
    counter->step = STEP_RECEIPT;
    counter->unit_count = 0;
    (void)judge(&turn->act->moment, &item, counter->receipt.expires, &list);
    const char *lot = counter->receipt.lot;
    counter_say(counter, "Receive %lld × %s%s%s?", (long long)counter->receipt.quantity, item.name,
                lot[0] ? ", lot " : "", lot);
    counter->verdict = list;
    return true;
}

struct lot_count {
    const struct counter_receipt *receipt;
    int64_t unproved, in_stock;
};

static bool count_unproved(const struct unit *unit, void *context)
{
    struct lot_count *count = context;
    count->unproved +=
        !unit->labelled && strcmp(unit->item, count->receipt->item) == 0 && strcmp(unit->lot, count->receipt->lot) == 0;
    return true;
}

static bool count_in_stock(const struct stock_line *line, void *context)
{
    struct lot_count *count = context;
    if (line->status == UNIT_IN && strcmp(line->lot, count->receipt->lot) == 0)
        count->in_stock += line->units;
    return true;
}

/* From the open delivery and from the totals: an item without lots may have had thousands of units over the years. */
static bool count_lot(struct turn *turn, struct lot_count *count, struct fault *fault)
{
    const char *delivery = turn->counter.delivery;
    if (count->receipt->item[0] == '\0')
        return true;
    return stock_each_of_item(turn->ledger, count->receipt->item, count_in_stock, count, fault) &&
           (delivery[0] == '\0' ||
            unit_each(turn->ledger, UNIT_BY_DELIVERY, delivery, "", INT64_MAX, count_unproved, count, fault));
}

/* The maker's code of something received already: what is in the hand is about to get its label. */
static void await_label(struct counter *counter, const struct counter_receipt *receipt, int64_t unproved)
{
    if (counter->step != STEP_PROOF)
        counter_clear_group(counter);
    counter->step = STEP_PROOF;
    counter->receipt = *receipt;
    counter->proof_set = true;
    turn_copy(counter->proof_item, sizeof counter->proof_item, receipt->item);
    turn_copy(counter->proof_lot, sizeof counter->proof_lot, receipt->lot);
    counter_say(counter, "Lot %s: %lld label%s to prove. Scan the label you stuck on this one.", receipt->lot,
                (long long)unproved, unproved == 1 ? "" : "s");
}

/* A maker's code in the middle of a check-out or check-in leaves the group alone: our label is what counts there. */
static void without_delivery(struct counter *counter, const struct counter_receipt *receipt, int64_t in_stock)
{
    if (counter->unit_count == 0) {
        counter_clear_group(counter);
        counter->receipt = *receipt;
    }
    if (in_stock > 0)
        counter_object(counter, REASON_NO_DELIVERY, "",
                       "This maker's code stands on %lld unit%s in stock: scan our label on the one in your hand.",
                       (long long)in_stock, in_stock == 1 ? "" : "s");
    else
        counter_object(counter, REASON_NO_DELIVERY, "", "Nothing of this lot is in stock: is it a new delivery?");
}

/* The delivery that is open at this counter; forgets one that was closed elsewhere. */
static bool has_delivery(struct turn *turn, bool *open, struct fault *fault)
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

bool receive_scan(struct turn *turn, const struct supplier_label *label, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct counter_receipt receipt;
    struct lot_count count = {.receipt = &receipt};
    bool open;
    if (!fill_receipt(turn->ledger, label, &receipt, fault) || !has_delivery(turn, &open, fault))
        return false;
    if (label->item[0] == '\0') {
        counter_object(counter, REASON_NOT_OURS, "",
                       "This code names no item: find the code with the item's number on the "
                       "pack, or pick the item by hand.");
        return true;
    }
    if (!count_lot(turn, &count, fault))
        return false;
    if (!open) {
        without_delivery(counter, &receipt, count.in_stock);
        return true;
    }
    if (counter->step == STEP_RECEIPT && same_receipt(&counter->receipt, &receipt)) {
        counter->receipt.quantity += receipt.quantity; /* one more pack of the same */
        return receive_show(turn, fault);
    }
    if (count.unproved > 0) {
        await_label(counter, &receipt, count.unproved);
        return true;
    }
    counter_clear_group(counter);
    counter->receipt = receipt;
    return receive_show(turn, fault);
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

/* Books `receipt` of a known item: units, receipts, labels. */
static bool book(struct turn *turn, const struct item *item, const struct counter_receipt *receipt, const char *hold,
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

/* What comes next: each label on its thing, and scanned back; with several lots the maker's code before each. */
static bool say_received(struct turn *turn, const struct item *item, const struct counter_receipt *receipt,
                         const char *hold, struct fault *fault)
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

/* Thousands of labels may be a slip of the finger: asked once, with the number, before anything is booked. */
static bool must_ask(struct turn *turn, const struct counter_receipt *receipt, const char *name)
{
    struct counter *counter = &turn->counter;
    if (receipt->quantity <= RECEIPT_ASK_OVER || receipt->asked == receipt->quantity)
        return false;
    counter_clear_group(counter);
    counter->step = STEP_RECEIPT;
    counter->receipt = *receipt;
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
    if (!quantity_is_right(turn, receipt.quantity))
        return true;
    if (!turn_has_person(turn, "to receive this"))
        return true;
    bool open;
    if (!has_delivery(turn, &open, fault))
        return false;
    if (!open) {
        counter_clear_group(counter);
        counter->receipt = receipt;
        counter_object(counter, REASON_NO_DELIVERY, "", "The delivery was closed meanwhile: is this a new one?");
        return true;
    }
    if (!item_of(turn->ledger, &receipt, &item, fault))
        return false;
    if (must_ask(turn, &receipt, item.name))
        return true;
    if ((item.code[0] == '\0' && !enter_provisional(turn, &item, fault)))
        return false;
    const char *hold = judge(&turn->act->moment, &item, receipt.expires, &list);
    if (receipt.hold[0] != '\0')
        hold = receipt.hold;
    turn_copy(receipt.item, sizeof receipt.item, item.code);
    if (!book(turn, &item, &receipt, hold, fault))
        return false;
    return say_received(turn, &item, &receipt, hold, fault);
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
    turn_copy(turn->counter.delivery, sizeof turn->counter.delivery, open.delivery);
    return true;
}

bool receive_open_delivery(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct counter_receipt receipt = counter->receipt;
    bool open;
    if (!has_delivery(turn, &open, fault))
        return false;
    if (open) {
        counter_say(counter, "A delivery is open already: scan the maker's code on each pack.");
        return true;
    }
    if (!turn_has_person(turn, "and the card DELIVERY again, to open a delivery"))
        return true;
    if (!open_delivery(turn, "not said", "", fault))
        return false;
    if (receipt.quantity == 0) {
        counter_say(counter, "A delivery is open: scan the maker's code on each pack.");
        return true;
    }
    counter_clear_group(counter);
    counter->receipt = receipt;
    return receive_show(turn, fault);
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
    turn_copy(turn.counter.delivery, sizeof turn.counter.delivery, id);
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

static bool known_item(struct ledger *ledger, const char *code, struct item *item, struct fault *fault)
{
    bool found;
    if (!item_load(ledger, code, item, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_MISSING, "item '%s' is not in the catalogue: enter it first", code);
}

bool receive_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"delivery", "item", "lot", "expires", "quantity", "hold", "confirm", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct counter_receipt receipt = {.made = MOVEMENT_NULL, .content_ul = MOVEMENT_NULL};
    struct item item;
    struct delivery delivery;
    struct verdict_list list;
    char id[DELIVERY_SIZE];
    bool found, confirmed;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_text(content, "delivery", CONTENT_REQUIRED, id, sizeof id, fault) ||
        !content_code(content, "item", CONTENT_REQUIRED, receipt.item, sizeof receipt.item, fault) ||
        !content_code(content, "lot", CONTENT_OPTIONAL, receipt.lot, sizeof receipt.lot, fault) ||
        !content_day(content, "expires", &receipt.expires, fault) ||
        !content_count(content, "quantity", CONTENT_REQUIRED, 1, RECEIPT_QUANTITY_MAX, &receipt.quantity, fault) ||
        !content_word(content, "hold", CONTENT_OPTIONAL, receipt.hold, sizeof receipt.hold, fault) ||
        !content_flag(content, "confirm", &confirmed, fault) ||
        !delivery_load(context->ledger, id, &delivery, &found, fault) ||
        !known_item(context->ledger, receipt.item, &item, fault))
        return false;
    if (!found || !delivery.open)
        return fault_set(fault, FAULT_MISSING, "delivery '%s' is not open: open one first", id);
    turn_copy(turn.counter.delivery, sizeof turn.counter.delivery, id);
    if (!confirmed && must_ask(&turn, &receipt, item.name))
        return turn_answer(&turn, answer, fault);
    const char *hold = judge(&turn.act->moment, &item, receipt.expires, &list);
    if (receipt.hold[0] != '\0')
        hold = receipt.hold;
    if (!book(&turn, &item, &receipt, hold, fault))
        return false;
    return say_received(&turn, &item, &receipt, hold, fault) && turn_answer(&turn, answer, fault);
}
