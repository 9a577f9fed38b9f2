#include <string.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/memory_store.h"
#include "kiosk/ledger/movement_detail.h"

/* The past of one unit, by folding its own movements through apply in memory. */

struct fold {
    const char *serial; /* whose past it is */
    struct memory_store *memory;
    struct apply_store store;
    int64_t before_seq;
    struct unit_state now; /* after the movement before; serial "": it does not exist yet */
    unit_step_visitor *visit;
    void *context; /* the visitor's */
    bool ok;
    struct fault fault;
};

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

static bool read_contents(const struct movement *movement, struct contents *contents, struct fault *fault)
{
    char lots[CONTENTS_TEXT_SIZE] = "";
    int64_t total_ul = MOVEMENT_NULL;
    json_t *detail = NULL;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool read = movement_detail_text(detail, "lots", lots, sizeof lots, fault) &&
                      movement_detail_number(detail, "before_ul", &total_ul, fault);
    json_decref(detail);
    if (!read || !contents_read(lots, contents, fault))
        return false;
    contents->total_ul = total_ul; /* may be known where the composition is not */
    return true;
}

/* The other end of a pour, as it was as far as the movement says: what was in it when it is the source; where it goes
 * to does not matter to what leaves. */
static bool make_other_end(const struct movement *movement, struct fold *fold)
{
    const bool is_source = strcmp(movement->unit, fold->serial) != 0;
    struct unit unit = {.status = UNIT_IN, .amount_ul = 0, .expires = MOVEMENT_NULL, .filled = MOVEMENT_NULL};
    struct unit_mix mix = {.lots = ""};
    struct contents contents;
    if (!movement->other[0] || (movement->kind != MOVEMENT_POUR && movement->kind != MOVEMENT_WASTE))
        return true;
    memcpy(unit.serial, is_source ? movement->unit : movement->other, sizeof unit.serial);
    if (is_source) {
        if (!read_contents(movement, &contents, &fold->fault))
            return false;
        contents_put(&contents, &unit, mix.lots);
        unit.expires = movement->expires;
        unit.estimated = movement_detail_flag(movement->detail, "estimated");
        unit.recovered = movement_detail_flag(movement->detail, "recovered");
    }
    memcpy(mix.unit, unit.serial, sizeof mix.unit);
    return fold->store.save_unit(fold->store.context, &unit, &fold->fault) &&
           fold->store.save_unit_mix(fold->store.context, &mix, &fold->fault);
}

static bool load_now(struct fold *fold, struct unit_state *now)
{
    struct unit_mix mix = {.lots = ""};
    bool found = false, has_mix = false;
    *now = (struct unit_state){.mix = ""};
    if (!span_copy(span_of(fold->serial), now->unit.serial, sizeof now->unit.serial))
        return fault_set(&fold->fault, FAULT_INPUT, "'%s' is no serial", fold->serial);
    memcpy(mix.unit, now->unit.serial, sizeof mix.unit);
    if (!fold->store.load_unit(fold->store.context, &now->unit, &found, &fold->fault) ||
        !fold->store.load_unit_mix(fold->store.context, &mix, &has_mix, &fold->fault))
        return false;
    if (!found)
        now->unit.serial[0] = '\0';
    if (has_mix)
        memcpy(now->mix, mix.lots, sizeof now->mix);
    return true;
}

/* The visitor's answer: does it want more? */
static bool show_step(const struct movement *movement, struct fold *fold)
{
    struct unit_state after;
    fold->ok = load_now(fold, &after);
    const bool more = fold->ok && fold->visit(movement, &fold->now, &after, fold->context);
    fold->now = after;
    return more;
}

/* What the unit was under its old serial, as the movement that gave it this one says: the old one's past is not told
 * here. */
static bool make_old_serial(const struct movement *movement, struct fold *fold)
{
    struct unit_state old = {.mix = ""};
    struct unit_mix mix = {.lots = ""};
    if (movement->kind != MOVEMENT_RELABEL || strcmp(movement->unit, fold->serial) != 0)
        return true;
    if (!apply_read_relabelled(movement, &old, &fold->fault))
        return false;
    memcpy(mix.unit, old.unit.serial, sizeof mix.unit);
    memcpy(mix.lots, old.mix, sizeof mix.lots);
    return fold->store.save_unit(fold->store.context, &old.unit, &fold->fault) &&
           fold->store.save_unit_mix(fold->store.context, &mix, &fold->fault);
}

/* The other label of a pair, as the movement needs it: parted before they meet, a pair before they part. */
static bool make_other_label(const struct movement *movement, struct fold *fold)
{
    const bool is_vat = strcmp(movement->unit, fold->serial) != 0, apart = movement->word[0] != '\0';
    struct unit unit = {.status = is_vat ? UNIT_IN : UNIT_TRAY};
    if (movement->kind != MOVEMENT_PAIR)
        return true;
    memcpy(unit.serial, is_vat ? movement->unit : movement->other, sizeof unit.serial);
    if (apart)
        memcpy(unit.pair, is_vat ? movement->other : movement->unit, sizeof unit.pair);
    return fold->store.save_unit(fold->store.context, &unit, &fold->fault);
}

static bool fold_one(const struct movement *movement, void *context)
{
    struct fold *fold = context;
    const char *units[2];
    if (movement->seq >= fold->before_seq)
        return false;
    if (movement_changes(movement, units) == 0 && movement->kind != MOVEMENT_PRINT)
        return true;
    fold->ok = make_known(movement, fold) && make_other_end(movement, fold) && make_old_serial(movement, fold) &&
               make_other_label(movement, fold) && apply(movement, &fold->store, &fold->fault);
    return fold->ok && (!fold->visit || show_step(movement, fold));
}

/* `fold` says whose past, up to where, and who looks on. */
static bool fold_past(struct ledger *ledger, struct fold *fold, struct fault *fault)
{
    fold->ok = true;
    fold->memory = memory_store_create();
    if (!fold->memory)
        return fault_set(fault, FAULT_STORAGE,
                         "no memory to look at the past of unit %s: end other programs and try again", fold->serial);
    fold->store = memory_store_apply(fold->memory);
    bool done = ledger_each_of_unit(ledger, fold->serial, 0, fold_one, fold, fault);
    if (done && !fold->ok)
        done = fault_set(fault, fold->fault.code, "the past of unit %s does not add up: %s", fold->serial,
                         fold->fault.text);
    if (done && !load_now(fold, &fold->now))
        done = fault_set(fault, fold->fault.code, "%s", fold->fault.text);
    memory_store_destroy(fold->memory);
    return done;
}

bool apply_unit_before(struct ledger *ledger, const char *serial, int64_t seq, struct unit_state *before, bool *found,
                       struct fault *fault)
{
    struct fold fold = {.serial = serial, .before_seq = seq};
    if (!fold_past(ledger, &fold, fault))
        return false;
    *found = fold.now.unit.serial[0] != '\0';
    if (*found)
        before->unit = fold.now.unit;
    memcpy(before->mix, fold.now.mix, sizeof before->mix);
    return true;
}

bool apply_unit_each_step(struct ledger *ledger, const char *serial, unit_step_visitor *visit, void *context,
                          struct fault *fault)
{
    struct fold fold = {.serial = serial, .before_seq = INT64_MAX, .visit = visit, .context = context};
    return fold_past(ledger, &fold, fault);
}
