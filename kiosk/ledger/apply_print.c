#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* Labels on their way: waiting, sent, printed, proved, failed, unknown. */

/* The unit whose label it is. A badge's or a place's label has none. */
static bool load_unit(const struct movement *movement, const struct apply_store *store, struct unit *unit, bool *found,
                      struct fault *fault)
{
    *found = false;
    if (movement->unit[0] == 'H' || movement->place[0])
        return true;
    *found = apply_find_unit(movement, store, true, unit, fault);
    return *found;
}

static bool read_detail(const struct movement *movement, struct print *row, struct fault *fault)
{
    char template[WORD_SIZE] = "", device[sizeof row->device] = "";
    json_t *object = NULL;
    int64_t device_job = MOVEMENT_NULL;
    if (!movement_detail_read(movement->detail, &object, fault))
        return false;
    const bool ok = movement_detail_text(object, "template", template, sizeof template, fault) &&
                    movement_detail_text(object, "device", device, sizeof device, fault) &&
                    movement_detail_number(object, "device_job", &device_job, fault);
    json_decref(object);
    if (!ok)
        return false;
    if (template[0])
        memcpy(row->label_template, template, sizeof template);
    if (device[0])
        memcpy(row->device, device, sizeof device);
    if (device_job != MOVEMENT_NULL)
        row->device_job = device_job;
    return true;
}

static bool check_first(const struct movement *movement, const struct unit *unit, bool has_unit, struct fault *fault)
{
    if (has_unit && movement->pieces != unit->prints + 1)
        return fault_set(fault, FAULT_REFUSED, "label %lld of unit %s cannot be ordered: the next is label %lld",
                         (long long)movement->pieces, unit->serial, (long long)unit->prints + 1);
    return true;
}

static bool take_step(const struct movement *movement, struct print *row, bool found, const struct unit *unit,
                      bool has_unit, struct fault *fault)
{
    enum print_state to;
    if (!print_state_read(movement->word, &to))
        return fault_set(fault, FAULT_REFUSED, "a label cannot be '%s'", movement->word);
    if (found) {
        if (!print_state_step(row->state, to, fault))
            return false;
    } else {
        if (to != PRINT_WAITING)
            return fault_set(fault, FAULT_REFUSED, "label %lld of '%s%s' was not ordered and cannot be %s",
                             (long long)movement->pieces, movement->unit, movement->place, movement->word);
        if (has_unit && unit->status == UNIT_VOID) /* one on its way still may come out, or fail */
            return fault_set(fault, FAULT_REFUSED, "unit %s was taken back: there is no label to order for it",
                             unit->serial);
        if (!check_first(movement, unit, has_unit, fault))
            return false;
        row->ordered_seq = movement->seq;
        row->device_job = MOVEMENT_NULL;
    }
    row->state = to;
    row->version = movement->seq;
    return true;
}

bool apply_print(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct print row = {.number = movement->pieces};
    struct unit unit = {0};
    bool found = false, has_unit = false;
    if ((movement->unit[0] != '\0') == (movement->place[0] != '\0'))
        return fault_set(fault, FAULT_REFUSED, "a label is a unit's or a place's: say one of them");
    if (movement->pieces < 1)
        return fault_set(fault, FAULT_REFUSED, "a label without its number cannot be booked");
    if (!load_unit(movement, store, &unit, &has_unit, fault) || !apply_check_place(movement, store, fault))
        return false;
    memcpy(row.unit, movement->unit, sizeof row.unit);
    memcpy(row.place, movement->place, sizeof row.place);
    if (!store->load_print(store->context, &row, &found, fault) ||
        !take_step(movement, &row, found, &unit, has_unit, fault) || !read_detail(movement, &row, fault))
        return false;

    bool touched = false;
    if (has_unit && !found) {
        unit.prints = row.number;
        touched = true;
    }
    if (has_unit && row.state == PRINT_PROVED) {
        unit.labelled = true;
        touched = true;
    }
    unit.version = movement->seq;
    return store->save_print(store->context, &row, fault) &&
           (!touched || store->save_unit(store->context, &unit, fault));
}
