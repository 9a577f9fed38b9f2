#include <string.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/memory_store.h"

/* The past of one unit, by folding its own movements through apply in memory. */

struct fold {
    struct memory_store *memory;
    struct apply_store store;
    int64_t before_seq;
    bool ok;
    struct fault fault;
};

static bool touches_units(enum movement_kind kind)
{
    switch (kind) {
    case MOVEMENT_RECEIPT:
    case MOVEMENT_TAKE_ON:
    case MOVEMENT_PRINT:
    case MOVEMENT_PUT_AWAY:
    case MOVEMENT_FILL:
    case MOVEMENT_CHECK_OUT:
    case MOVEMENT_CHECK_IN:
    case MOVEMENT_HOLD:
    case MOVEMENT_RELEASE:
    case MOVEMENT_CORRECTION:
        return true;
    default:
        return false;
    }
}

/* What the movement names was known when it was booked, or apply would have refused it then. */
static bool make_known(const struct movement *movement, struct fold *fold)
{
    struct item item = {.letter = movement->unit[0]};
    struct place place = {0};
    struct machine machine = {0};
    struct delivery delivery = {.open = true};
    struct job job = {.ended_ms = MOVEMENT_NULL};
    memcpy(item.code, movement->item, sizeof item.code);
    memcpy(place.code, movement->place, sizeof place.code);
    memcpy(machine.code, movement->printer, sizeof machine.code);
    memcpy(delivery.id, movement->delivery, sizeof delivery.id);
    memcpy(job.id, movement->job, sizeof job.id);
    const struct apply_store *store = &fold->store;
    return store->save_item(store->context, &item, &fold->fault) &&
           store->save_place(store->context, &place, &fold->fault) &&
           store->save_machine(store->context, &machine, &fold->fault) &&
           store->save_delivery(store->context, &delivery, &fold->fault) &&
           store->save_job(store->context, &job, &fold->fault);
}

static bool fold_one(const struct movement *movement, void *context)
{
    struct fold *fold = context;
    if (movement->seq >= fold->before_seq)
        return false;
    if (!touches_units(movement->kind))
        return true;
    fold->ok = make_known(movement, fold) && apply(movement, &fold->store, &fold->fault);
    return fold->ok;
}

bool apply_unit_before(struct ledger *ledger, const char *serial, int64_t seq, struct unit *before, bool *found,
                       struct fault *fault)
{
    struct fold fold = {.memory = memory_store_create(), .before_seq = seq, .ok = true};
    struct unit unit = {0};
    bool has = false, ok = false;
    if (!fold.memory)
        return fault_set(fault, FAULT_STORAGE,
                         "no memory to look at the past of unit %s: end other programs and try again", serial);
    fold.store = memory_store_apply(fold.memory);
    if (!ledger_each_of_unit(ledger, serial, 0, fold_one, &fold, fault))
        goto done;
    if (!fold.ok) {
        fault_set(fault, fold.fault.code, "the past of unit %s does not add up: %s", serial, fold.fault.text);
        goto done;
    }
    if (!span_copy(span_of(serial), unit.serial, sizeof unit.serial)) {
        fault_set(fault, FAULT_INPUT, "'%s' is no serial", serial);
        goto done;
    }
    ok = fold.store.load_unit(fold.store.context, &unit, &has, fault);
done:
    memory_store_destroy(fold.memory);
    if (ok) {
        *found = has;
        if (has)
            *before = unit;
    }
    return ok;
}
