#include "kiosk/desk/item_scan.h"

#include <string.h>

#include "kiosk/desk/label_lost.h"
#include "kiosk/desk/take_on_scan.h"
#include "kiosk/ledger/catalogue.h"

bool item_scan_wants(const struct counter *counter)
{
    return counter->step == STEP_LABEL_LOST || counter->step == STEP_TAKE_ON;
}

static bool take(struct turn *turn, const struct item *item, const struct supplier_label *label, struct fault *fault)
{
    if (turn->counter.step == STEP_TAKE_ON)
        return take_on_item(turn, item, label, fault);
    turn->counter.bare.expires = label && label->has_expires ? label->expires.number : MOVEMENT_NULL;
    return label_lost_item(turn, item->code, label ? label->lot : "", fault);
}

static bool find_item(struct ledger *ledger, const struct supplier_label *label, struct item *item, bool *found,
                      struct fault *fault)
{
    return label->item_is_gtin ? item_find_gtin(ledger, label->item, item, found, fault)
                               : item_find_maker_code(ledger, label->item, item, found, fault);
}

bool item_scan_card(struct turn *turn, const char *code, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct item item;
    bool found = false;
    if (!item_load(turn->ledger, code, &item, &found, fault))
        return false;
    if (!found) {
        counter_object(counter, REASON_UNKNOWN, code,
                       "Item %s is not known here: enter it first, or scan another card.", code);
        return true;
    }
    if (counter->step == STEP_IDLE &&
        !take_on_begin(turn, fault)) /* at the shelf that was scanned before, if one was */
        return false;
    if (item_scan_wants(counter))
        return take(turn, &item, NULL, fault);
    counter_note(counter, "%s, %s: an item's card takes on what stands here. Finish what you are at, or scan NO.",
                 item.code, item.name);
    return true;
}

bool item_scan_typed(struct turn *turn, const char *code, bool *found, struct fault *fault)
{
    struct item item;
    *found = false;
    if (!item_scan_wants(&turn->counter) || strlen(code) >= sizeof item.code)
        return true;
    return item_load(turn->ledger, code, &item, found, fault) && (!*found || take(turn, &item, NULL, fault));
}

bool item_scan_supplier(struct turn *turn, const struct supplier_code *codes, size_t count, struct fault *fault)
{
    struct supplier_label label = {.item = ""};
    struct item item;
    bool found = false;
    for (size_t i = 0; i < count; i++) { /* one of them may name the item, another the lot */
        const struct supplier_label *one = &codes[i].code.label;
        if (!found && one->item[0] != '\0' && !find_item(turn->ledger, one, &item, &found, fault))
            return false;
        if (label.lot[0] == '\0')
            turn_copy(label.lot, sizeof label.lot, one->lot);
        if (one->has_expires) {
            label.has_expires = true;
            label.expires = one->expires;
        }
    }
    if (!found) {
        counter_object(&turn->counter, REASON_NO_ITEM, "",
                       "This maker's code names no item that is known here: scan the item's card instead.");
        return true;
    }
    return take(turn, &item, &label, fault);
}
