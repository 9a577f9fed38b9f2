#include <string.h>

#include "kiosk/desk/delivery.h"
#include "kiosk/desk/receive_parts.h"

/* A maker's code was scanned: what it means beside the codes of the same carton that were scanned before. */

static bool find_item(struct ledger *ledger, const struct supplier_label *label, struct item *item, bool *found,
                      struct fault *fault)
{
    *found = false;
    if (label->item[0] == '\0')
        return true;
    return label->item_is_gtin ? item_find_gtin(ledger, label->item, item, found, fault)
                               : item_find_maker_code(ledger, label->item, item, found, fault);
}

void receive_propose(struct counter *counter)
{
    const struct carton_total total = carton_total(&counter->carton.codes);
    struct counter_receipt *const receipt = &counter->receipt;
    *receipt = (struct counter_receipt){
        .expires = total.label.has_expires ? total.label.expires.number : MOVEMENT_NULL,
        .made = total.label.has_made ? total.label.made.number : MOVEMENT_NULL,
        .day_was_00 = total.label.expires_day_was_00,
        .quantity = total.quantity,
        .content_ul = total.label.content_ul > 0 ? total.label.content_ul : MOVEMENT_NULL,
    };
    turn_copy(receipt->item, sizeof receipt->item, total.item);
    turn_copy(receipt->gtin, sizeof receipt->gtin, total.gtin);
    turn_copy(receipt->maker_code, sizeof receipt->maker_code, total.maker_code);
    turn_copy(receipt->lot, sizeof receipt->lot, total.label.lot);
}

static void take_code(struct counter *counter, const struct carton_code *code)
{
    carton_add(&counter->carton.codes, code);
    receive_propose(counter);
}

struct lot_count { /* in the open delivery */
    const struct counter_receipt *receipt;
    int64_t unproved, labelled;
};

static bool count_unproved(const struct unit *unit, void *context)
{
    struct lot_count *count = context;
    if (strcmp(unit->item, count->receipt->item) == 0 && strcmp(unit->lot, count->receipt->lot) == 0) {
        count->unproved += !unit->labelled;
        count->labelled += unit->labelled;
    }
    return true;
}

/* The maker's code of something received already: what is in the hand is about to get its label. */
static void await_label(struct counter *counter, const struct lot_count *count)
{
    const struct counter_receipt receipt = *count->receipt;
    const struct counter_carton *const carton = &counter->carton;
    const int64_t unproved = count->unproved, all = unproved + count->labelled;
    const bool counted = carton->booked > 0 && strcmp(carton->booked_item, receipt.item) == 0 &&
                         strcmp(carton->booked_lot, receipt.lot) == 0;
    if (counter->step != STEP_PROOF)
        counter_clear_group(counter);
    counter->step = STEP_PROOF;
    counter->receipt = receipt;
    counter->proof_set = true;
    turn_copy(counter->proof_item, sizeof counter->proof_item, receipt.item);
    turn_copy(counter->proof_lot, sizeof counter->proof_lot, receipt.lot);
    if (counted)
        counter_say(counter, "Lot %s: pack %lld of %lld. Scan the label you stuck on this one.", receipt.lot,
                    (long long)count->labelled + 1, (long long)all);
    else
        counter_say(counter, "Lot %s: %lld label%s to prove. Scan the label you stuck on this one.", receipt.lot,
                    (long long)unproved, unproved == 1 ? "" : "s");
}

bool receive_code_begin(struct ledger *ledger, const struct receive_code *code, size_t number, struct carton_code *made,
                        struct fault *fault)
{
    struct item item;
    struct builder text;
    bool found;
    if (!find_item(ledger, &code->label, &item, &found, fault))
        return false;
    *made = (struct carton_code){.label = code->label};
    if (found)
        turn_copy(made->item, sizeof made->item, item.code);
    builder_init(&text, made->source, sizeof made->source);
    builder_addf(&text, "code %zu, %s", number, code->source);
    return true;
}

/* The codes so far make a proposal, or are those of a pack that was received and waits for its label. */
static bool go_on(struct turn *turn, bool says_more, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct counter_receipt receipt = counter->receipt;
    struct lot_count count = {.receipt = &receipt};
    if (says_more && receipt.item[0] != '\0' &&
        !unit_each(turn->ledger, UNIT_BY_DELIVERY, counter->delivery, "", INT64_MAX, count_unproved, &count, fault))
        return false;
    if (count.unproved > 0) {
        await_label(counter, &count);
        return true;
    }
    if (counter->step != STEP_RECEIPT)
        receive_keep_proposal(counter);
    return receive_show(turn, fault);
}

static void ask(struct counter *counter, enum carton_question question, const struct carton_code *about)
{
    counter->step = STEP_RECEIPT;
    counter->carton.asks = question;
    counter->carton.about = *about;
}

bool receive_say_differences(struct counter *counter, const struct carton *before, const struct carton_code *code,
                             const char *title)
{
    struct carton_difference differences[CARTON_DIFFERENCES];
    const size_t count = carton_differences(before, code, differences);
    if (count > 0)
        counter_say(counter, "%s", title);
    for (size_t i = 0; i < count; i++)
        verdict_add(&counter->verdict, REASON_CODES_DIFFER, differences[i].what, "%s: %s (%s), but %s (%s).",
                    differences[i].what, differences[i].one, differences[i].one_source, differences[i].other,
                    code->source);
    return count > 0;
}

static bool contradicts(struct counter *counter, const struct carton_code *code)
{
    if (!receive_say_differences(counter, &counter->carton.codes, code,
                                 "This code contradicts what was scanned before: nothing was changed."))
        return false;
    ask(counter, CARTON_ASKS_OTHER, code);
    return true;
}

void receive_ask_inner(struct counter *counter, const struct carton_code *code)
{
    const int64_t outer = carton_total(&counter->carton.codes).outer;
    counter_object(counter, REASON_PART_OF_CARTON, "", "Is this pack part of the %lld that the carton's code counts?",
                   (long long)outer);
    ask(counter, CARTON_ASKS_INNER, code);
}

static void ask_too_many(struct counter *counter, const struct carton_code *code)
{
    const struct carton *const codes = &counter->carton.codes;
    const long long outer = (long long)carton_total(codes).outer;
    counter_object(counter, REASON_PART_OF_CARTON, "",
                   "The carton's code counts %lld, and %lld packs of it were scanned: is this one more?", outer,
                   (long long)codes->inner);
    ask(counter, CARTON_ASKS_TOO_MANY, code);
}

static bool same_pack(struct turn *turn, const struct carton_code *code, struct fault *fault)
{
    char title[COUNTER_TITLE_SIZE];
    struct counter *counter = &turn->counter;
    if (!receive_show(turn, fault))
        return false;
    const struct verdict_list list = counter->verdict;
    turn_copy(title, sizeof title, counter->title);
    counter_say(counter, "The same pack again (serial %s): not counted twice. %s", code->label.serial, title);
    counter->verdict = list;
    return true;
}

static bool take_step(struct turn *turn, const struct carton_code *code, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    switch (carton_judge(&counter->carton.codes, code)) {
    case CARTON_ADDS:
        take_code(counter, code);
        return go_on(turn, true, fault);
    case CARTON_COUNTS:
        take_code(counter, code);
        return go_on(turn, false, fault);
    case CARTON_SAME_PACK:
        return same_pack(turn, code, fault);
    case CARTON_INNER:
        carton_add_inner(&counter->carton.codes, code);
        receive_propose(counter);
        return go_on(turn, false, fault);
    case CARTON_MAYBE_INNER:
        receive_ask_inner(counter, code);
        return true;
    case CARTON_TOO_MANY:
        ask_too_many(counter, code);
        return true;
    case CARTON_DIFFERS:
        (void)contradicts(counter, code);
        return true;
    case CARTON_FULL:
        break;
    }
    counter_object(counter, REASON_UNREADABLE, "",
                   "More than %d different codes for one receipt: receive what is proposed, then scan this one.",
                   CARTON_CODES);
    ask(counter, CARTON_ASKS_LOOK, code);
    return true;
}

bool receive_scan(struct turn *turn, const struct receive_code *codes, size_t count, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    bool open;
    if (!delivery_is_open(turn, &open, fault))
        return false;
    if (!open)
        return receive_unopened(turn, codes, count, fault);
    counter->carton.asks = CARTON_ASKS_NOTHING;
    if (counter->step != STEP_RECEIPT)
        memset(&counter->carton.codes, 0, sizeof counter->carton.codes);
    for (size_t i = 0; i < count && counter->carton.asks != CARTON_ASKS_OTHER; i++) {
        struct carton_code code;
        if (!receive_code_begin(turn->ledger, &codes[i], counter->carton.codes.code_count + 1, &code, fault))
            return false;
        if (counter->carton.asks != CARTON_ASKS_NOTHING)
            (void)contradicts(counter, &code);
        else if (!take_step(turn, &code, fault))
            return false;
    }
    return true;
}

bool receive_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct carton_code about = counter->carton.about;
    const enum carton_question later = counter->carton.later;
    receive_keep_proposal(counter);
    if (!receive_show(turn, fault))
        return false;
    if (later == CARTON_ASKS_INNER)
        receive_ask_inner(counter, &about);
    return true;
}

bool receive_answer(struct turn *turn, bool yes, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct carton_code about = counter->carton.about;
    const enum carton_question asked = counter->carton.asks;
    counter->carton.asks = CARTON_ASKS_NOTHING;
    if (asked == CARTON_ASKS_INNER) {
        if (yes)
            carton_add_inner(&counter->carton.codes, &about);
        else
            carton_add_besides(&counter->carton.codes, &about);
        receive_propose(counter);
    } else if (asked == CARTON_ASKS_TOO_MANY && yes) {
        carton_add_besides(&counter->carton.codes, &about);
        receive_propose(counter);
    } else if (asked == CARTON_ASKS_OTHER && !yes) { /* what was proposed is put aside, as the key said */
        counter_clear_group(counter);
        take_code(counter, &about);
        return go_on(turn, true, fault);
    }
    return receive_show(turn, fault);
}
