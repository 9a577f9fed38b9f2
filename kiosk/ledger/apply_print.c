#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* Labels on their way (print_state.c), their order, and what somebody tells the label printer. */

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

/* A job's ticket is named in the place's field, by a word that no place has. */
static bool check_place(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    if (print_ticket_plan(movement->place) == MOVEMENT_NULL)
        return apply_check_place(movement, store, fault);
    return strcmp(movement->word, print_state_word(PRINT_WAITING)) != 0 || movement->refers != MOVEMENT_NULL ||
           (apply_needs(movement, movement->job, "its job", fault) && apply_check_job(movement, store, fault));
}

static bool check_names_one(const struct movement *movement, struct fault *fault)
{
    if ((movement->unit[0] != '\0') == (movement->place[0] != '\0'))
        return fault_set(fault, FAULT_REFUSED, "a label is a unit's or a place's: say one of them");
    if (movement->pieces < 1)
        return fault_set(fault, FAULT_REFUSED, "a label without its number cannot be booked");
    return true;
}

static bool load_row(const struct movement *movement, const struct apply_store *store, struct print *row, bool *found,
                     struct fault *fault)
{
    *row = (struct print){.number = movement->pieces};
    memcpy(row->unit, movement->unit, sizeof row->unit);
    memcpy(row->place, movement->place, sizeof row->place);
    return store->load_print(store->context, row, found, fault);
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
        if (has_unit && !apply_check_label(unit, fault))
            return false;
        if (!check_first(movement, unit, has_unit, fault))
            return false;
        row->ordered_seq = row->rank = movement->seq;
        row->ordered_ms = movement->at.ms;
        memcpy(row->batch, movement->act, sizeof row->batch);
        row->device_job = MOVEMENT_NULL;
    }
    row->state = to;
    row->version = movement->seq;
    return true;
}

bool apply_print(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct print row;
    struct unit unit = {0};
    bool found = false, has_unit = false;
    if (!check_names_one(movement, fault) || !load_unit(movement, store, &unit, &has_unit, fault) ||
        !check_place(movement, store, fault) || !load_row(movement, store, &row, &found, fault) ||
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

/* The label a move or a cancel is about, which must be in this state. */
static bool load_in_state(const struct movement *movement, const struct apply_store *store, enum print_state state,
                          struct print *row, struct fault *fault)
{
    bool found = false;
    if (!check_names_one(movement, fault) || !load_row(movement, store, row, &found, fault))
        return false;
    if (found && row->state == state)
        return true;
    return fault_set(fault, FAULT_REFUSED, "label %lld of '%s%s' is %s, not %s: look at it again",
                     (long long)movement->pieces, movement->unit, movement->place,
                     found ? print_state_word(row->state) : "not ordered", print_state_word(state));
}

/* To the front is below zero, the later the farther in front. What is taken back says the rank to have again: nothing
 * is computed from the rows of other labels, so the same movement means the same wherever it is applied. */
bool apply_print_move(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct print row;
    json_t *object = NULL;
    int64_t was, rank;
    if (!load_in_state(movement, store, PRINT_WAITING, &row, fault) ||
        !movement_detail_read(movement->detail, &object, fault))
        return false;
    const bool read =
        movement_detail_number(object, "was", &was, fault) && movement_detail_number(object, "rank", &rank, fault);
    json_decref(object);
    if (!read)
        return false;
    if (was != row.rank)
        return fault_set(fault, FAULT_REFUSED, "label %lld of '%s%s' was moved since: look at the list again",
                         (long long)movement->pieces, movement->unit, movement->place);
    if ((rank == MOVEMENT_NULL) != (movement->refers == MOVEMENT_NULL))
        return fault_set(fault, FAULT_REFUSED, "a label gets an earlier rank only where a move is taken back");
    row.rank = rank == MOVEMENT_NULL ? -movement->seq : rank;
    row.version = movement->seq;
    return store->save_print(store->context, &row, fault);
}

/* Changes nothing here: the printing thread, which follows the movements, does it. */
bool apply_print_tell(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct print row;
    if (!apply_check_word(movement, "go cancel calibration", fault))
        return false;
    if (strcmp(movement->word, "cancel") == 0)
        return load_in_state(movement, store, PRINT_SENT, &row, fault);
    return (!movement->unit[0] && !movement->place[0]) ||
           fault_set(fault, FAULT_REFUSED,
                     "a label printer is told to go, or to calibrate, for all labels, not for one");
}
