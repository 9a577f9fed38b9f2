#include <string.h>

#include "kiosk/desk/receive_parts.h"
#include "kiosk/ledger/stock.h"

/* Makers' codes while no delivery is open: what all of them say together is either on its way in, or on a unit that has
 * our label. Nothing is booked; the proposal is kept for the delivery that may be opened now. */

struct combined {
    struct carton codes; /* taken into the proposal */
    struct carton seen;  /* and those that are asked about later: a contradiction may lie between any two */
    struct carton_code about;
    bool asks_inner;
};

static void combine(struct combined *all, const struct carton_code *code)
{
    carton_add(&all->seen, code);
    switch (carton_judge(&all->codes, code)) {
    case CARTON_ADDS:
    case CARTON_COUNTS:
        carton_add(&all->codes, code);
        return;
    case CARTON_MAYBE_INNER:
        if (!all->asks_inner)
            all->about = *code;
        all->asks_inner = true;
        return;
    default: /* the same pack again; the others need an answer, or more codes than one act has */
        return;
    }
}

/* `*good` false: two of them contradict, and that was said. */
static bool combine_all(struct turn *turn, const struct receive_code *codes, size_t count, struct combined *all,
                        bool *good, struct fault *fault)
{
    memset(all, 0, sizeof *all);
    *good = true;
    for (size_t i = 0; i < count; i++) {
        struct carton_code code;
        if (!receive_code_begin(turn->ledger, &codes[i], i + 1, &code, fault))
            return false;
        *good = !receive_say_differences(&turn->counter, &all->seen, &code,
                                         "The codes of this carton contradict each other: nothing is proposed.");
        if (!*good)
            return true;
        combine(all, &code);
    }
    return true;
}

struct lot_count {
    const char *lot;
    int64_t units;
};

static bool count_in_stock(const struct stock_line *line, void *context)
{
    struct lot_count *count = context;
    if (line->status == UNIT_IN && strcmp(line->lot, count->lot) == 0)
        count->units += line->units;
    return true;
}

static bool is_named(const struct carton_total *total)
{
    return total->gtin[0] != '\0' || total->maker_code[0] != '\0';
}

/* A maker's code in the middle of a check-out or check-in leaves the group alone: our label is what counts there. */
static void keep(struct counter *counter, const struct combined *all)
{
    if (counter->unit_count > 0)
        return;
    counter_clear_group(counter);
    counter->carton.codes = all->codes;
    counter->carton.later = all->asks_inner ? CARTON_ASKS_INNER : CARTON_ASKS_NOTHING;
    counter->carton.about = all->about;
    receive_propose(counter);
}

static void ask_what_it_is(struct counter *counter, int64_t in_stock)
{
    if (in_stock > 0) {
        counter_object(counter, REASON_NO_DELIVERY, "",
                       "This maker's code stands on %lld unit%s in stock: scan our label on the one in your hand.",
                       (long long)in_stock, in_stock == 1 ? "" : "s");
        return;
    }
    counter_object(counter, REASON_NO_DELIVERY, "", "Nothing of this lot is in stock: is it a new delivery?");
    if (counter->unit_count == 0)
        counter->carton.asks = CARTON_ASKS_DELIVERY;
}

bool receive_unopened(struct turn *turn, const struct receive_code *codes, size_t count, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct combined all;
    bool good;
    counter->carton.asks = CARTON_ASKS_NOTHING;
    if (!combine_all(turn, codes, count, &all, &good, fault))
        return false;
    if (!good) {
        if (counter->unit_count == 0)
            counter_clear_group(counter); /* what was proposed before was of another scan */
        return true;
    }
    const struct carton_total total = carton_total(&all.codes);
    if (!is_named(&total)) {
        counter_object(counter, REASON_NOT_OURS, "",
                       "This code names no item: find the code with the item's number on the "
                       "pack, or pick the item by hand.");
        return true;
    }
    struct lot_count in_stock = {.lot = total.label.lot};
    if (total.item[0] != '\0' && !stock_each_of_item(turn->ledger, total.item, count_in_stock, &in_stock, fault))
        return false;
    keep(counter, &all);
    ask_what_it_is(counter, in_stock.units);
    return true;
}
