#include "kiosk/desk/label_lost_look.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/stock.h"

enum { LOTS_MOST = 256 };

struct gather {
    const struct counter *counter;
    struct label_lost_look *look;
    char (*lots)[LOT_SIZE]; /* of the item, of which something is out or in stock */
    size_t lot_count;
};

static bool is_seen(const struct counter *counter, const char *serial)
{
    for (size_t i = 0; i < counter->unit_count; i++)
        if (strcmp(counter->units[i].serial, serial) == 0)
            return true;
    return false;
}

static bool stands_here(const struct counter_bare *bare, const struct unit *unit)
{
    return bare->in_printer ? unit->status == UNIT_OUT && strcmp(unit->printer, bare->place) == 0
                            : unit->status == UNIT_IN && strcmp(unit->place, bare->place) == 0;
}

/* Of what is in a vat nothing on it says the lot, and what its case says is no lot of resin. */
static bool says_its_lot(char letter)
{
    return letter == 'C' || letter == 'R';
}

/* `lot` "": unknown, or a mix. */
static bool may_be_of_lot(const struct label_lost_look *look, const char *lot)
{
    return look->lot[0] == '\0' || lot[0] == '\0' || strcmp(lot, look->lot) == 0;
}

static bool may_be_it(const struct gather *gather, const struct unit *unit)
{
    const struct counter_bare *bare = &gather->counter->bare;
    return (unit->status == UNIT_IN || unit->status == UNIT_OUT) && strcmp(unit->item, bare->item) == 0 &&
           may_be_of_lot(gather->look, unit->lot) && !is_seen(gather->counter, unit->serial);
}

static void keep(struct label_lost_look *look, const struct unit *unit, bool here)
{
    if (look->count == LOST_LABEL_CANDIDATES) {
        look->more = true;
        return;
    }
    struct lost_candidate *one = &look->list[look->count++];
    *one = (struct lost_candidate){.here = here, .amount_ul = unit->amount_ul, .opened = unit->opened != MOVEMENT_NULL};
    (void)span_copy(span_of(unit->serial), one->serial, sizeof one->serial);
    (void)span_copy(span_of(unit->resin), one->resin, sizeof one->resin);
    if (says_its_lot(unit->serial[0]))
        (void)span_copy(span_of(unit->lot), one->lot, sizeof one->lot);
    (void)span_copy(span_of(unit->film), one->film, sizeof one->film);
}

static bool take_here(const struct unit *unit, void *context)
{
    struct gather *gather = context;
    if (may_be_it(gather, unit))
        keep(gather->look, unit, true);
    return !gather->look->more;
}

static void note_booked(struct label_lost_look *look, const struct unit *unit)
{
    if (look->booked_count < LABEL_LOST_BOOKED) {
        struct label_lost_booked *one = &look->booked[look->booked_count];
        (void)span_copy(span_of(unit->serial), one->serial, sizeof one->serial);
        (void)span_copy(span_of(unit->place), one->place, sizeof one->place);
    }
    look->booked_count++;
}

static bool take_elsewhere(const struct unit *unit, void *context)
{
    struct gather *gather = context;
    const bool nowhere = unit->status == UNIT_OUT || unit->place[0] == '\0';
    if (!may_be_it(gather, unit) || stands_here(&gather->counter->bare, unit))
        return true;
    if (nowhere)
        keep(gather->look, unit, false);
    else
        note_booked(gather->look, unit);
    return !gather->look->more;
}

static bool take_lot(const struct stock_line *line, void *context)
{
    struct gather *gather = context;
    if (!may_be_of_lot(gather->look, line->lot))
        return true;
    for (size_t i = 0; i < gather->lot_count; i++)
        if (strcmp(gather->lots[i], line->lot) == 0)
            return true;
    if (gather->lot_count == LOTS_MOST) {
        gather->look->more = true; /* then nothing is found by elimination: say the lot */
        return false;
    }
    (void)span_copy(span_of(line->lot), gather->lots[gather->lot_count++], LOT_SIZE);
    return true;
}

/* Lot by lot: an item has had many units in its years, and few are here. */
static bool look_elsewhere(struct ledger *ledger, struct gather *gather, struct fault *fault)
{
    const char *item = gather->counter->bare.item;
    if (!stock_each_of_item(ledger, item, take_lot, gather, fault))
        return false;
    for (size_t i = 0; i < gather->lot_count; i++)
        if (!unit_each_present_of_lot(ledger, item, gather->lots[i], "", INT64_MAX, take_elsewhere, gather, fault))
            return false;
    return true;
}

static bool find_lot(struct ledger *ledger, const struct counter_bare *bare, char lot[LOT_SIZE], struct fault *fault)
{
    struct item item;
    bool found;
    lot[0] = '\0';
    if (!item_load(ledger, bare->item, &item, &found, fault))
        return false;
    if (found && says_its_lot(item.letter))
        (void)span_copy(span_of(bare->lot), lot, LOT_SIZE);
    return true;
}

bool label_lost_look(struct ledger *ledger, const struct counter *counter, struct label_lost_look *look,
                     struct fault *fault)
{
    const struct counter_bare *bare = &counter->bare;
    struct gather gather = {.counter = counter, .look = look, .lots = malloc(LOTS_MOST * sizeof *gather.lots)};
    *look = (struct label_lost_look){.count = 0};
    if (!gather.lots)
        return fault_set(fault, FAULT_STORAGE, "no memory to look which thing it is: try again");
    const bool done = find_lot(ledger, bare, look->lot, fault) &&
                      unit_each(ledger, bare->in_printer ? UNIT_BY_PRINTER : UNIT_BY_PLACE, bare->place, "", INT64_MAX,
                                take_here, &gather, fault) &&
                      look_elsewhere(ledger, &gather, fault);
    free(gather.lots);
    if (done)
        look->finding = lost_label_find(look->list, look->count, look->more);
    return done;
}
