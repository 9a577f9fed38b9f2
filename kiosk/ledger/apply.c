#include "kiosk/ledger/apply.h"

#include <string.h>

#include "kiosk/ledger/apply_parts.h"
#include "kiosk/ledger/movement_detail.h"

enum { SLOTS_MOST = 99 };

/* ---- what several kinds check ---- */

bool apply_needs(const struct movement *movement, const char *value, const char *name, struct fault *fault)
{
    return value[0] || fault_set(fault, FAULT_REFUSED, "a %s without %s cannot be booked: say which",
                                 movement_kind_word(movement->kind), name);
}

bool apply_check_word(const struct movement *movement, const char *words, struct fault *fault)
{
    const size_t length = strlen(movement->word);
    for (const char *at = words; length > 0 && *at; at += *at == ' ') {
        const size_t span = strcspn(at, " ");
        if (span == length && memcmp(at, movement->word, length) == 0)
            return true;
        at += span;
    }
    return fault_set(fault, FAULT_REFUSED, "a %s cannot say '%s': it is one of %s", movement_kind_word(movement->kind),
                     movement->word, words);
}

bool apply_detail_text(const struct movement *movement, const char *key, char *buffer, size_t size, struct fault *fault)
{
    json_t *object = NULL;
    if (!movement_detail_read(movement->detail, &object, fault))
        return false;
    const bool ok = movement_detail_text(object, key, buffer, size, fault);
    json_decref(object);
    return ok;
}

bool apply_find_unit(const struct movement *movement, const struct apply_store *store, bool or_void, struct unit *unit,
                     struct fault *fault)
{
    bool found = false;
    struct unit row = {0};
    if (!apply_needs(movement, movement->unit, "unit", fault))
        return false;
    memcpy(row.serial, movement->unit, sizeof row.serial);
    if (!store->load_unit(store->context, &row, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_REFUSED, "unit %s is not known: scan its label again, or take it on",
                         movement->unit);
    if (row.status == UNIT_VOID && !or_void)
        return fault_set(fault, FAULT_REFUSED,
                         "unit %s was taken back: its receipt was undone; give the thing a new label", movement->unit);
    if (!or_void && !apply_check_thing(&row, fault))
        return false;
    *unit = row;
    return true;
}

bool apply_check_label(const struct unit *unit, struct fault *fault)
{
    return unit->status != UNIT_RELABELLED ||
           fault_set(fault, FAULT_REFUSED,
                     "the label of %s was given up as lost, and its thing is %s now: say that one", unit->serial,
                     unit->heir);
}

bool apply_check_thing(const struct unit *unit, struct fault *fault)
{
    if (!apply_check_label(unit, fault))
        return false;
    return unit->status != UNIT_TRAY ||
           fault_set(fault, FAULT_REFUSED, "%s is the label of a tray, and its vat is %s: say that one", unit->serial,
                     unit->pair[0] ? unit->pair : "not known");
}

bool apply_check_place(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    bool found = false;
    struct place row = {0};
    if (!movement->place[0])
        return true;
    memcpy(row.code, movement->place, sizeof row.code);
    if (!store->load_place(store->context, &row, &found, fault))
        return false;
    return found ||
           fault_set(fault, FAULT_REFUSED, "place '%s' is not known: scan it again or add the place", movement->place);
}

bool apply_check_printer(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    bool found = false;
    struct machine row = {0};
    if (!movement->printer[0])
        return true;
    memcpy(row.code, movement->printer, sizeof row.code);
    if (!store->load_machine(store->context, &row, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_REFUSED, "printer '%s' is not known: add it first", movement->printer);
}

bool apply_check_job(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    bool found = false;
    struct job row = {0};
    if (!movement->job[0])
        return true;
    memcpy(row.id, movement->job, sizeof row.id);
    if (!store->load_job(store->context, &row, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_REFUSED, "job '%s' was not started: start it first", movement->job);
}

bool apply_check_delivery(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    bool found = false;
    struct delivery row = {0};
    if (!movement->delivery[0])
        return true;
    memcpy(row.id, movement->delivery, sizeof row.id);
    if (!store->load_delivery(store->context, &row, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_REFUSED, "delivery '%s' is not known: open it first", movement->delivery);
}

/* ---- the catalogue ---- */

static bool apply_item_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct item row = {0}, before = {0};
    bool found = false;
    if (!apply_needs(movement, movement->item, "item", fault) || !item_read_detail(movement->detail, &row, fault))
        return false;
    memcpy(row.code, movement->item, sizeof row.code);
    memcpy(before.code, movement->item, sizeof before.code);
    if (!store->load_item(store->context, &before, &found, fault))
        return false;
    if (found && before.letter != row.letter) /* labels with the old letter are about, and undo folds old movements */
        return fault_set(fault, FAULT_REFUSED, "item '%s' has serial letter %c and keeps it: make a new item for %c",
                         row.code, before.letter, row.letter);
    row.version = movement->seq;
    return store->save_item(store->context, &row, fault);
}

static bool apply_place_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct place row = {0};
    if (!apply_needs(movement, movement->place, "place", fault) ||
        !apply_check_word(movement, "shelf slot counter room", fault) ||
        !apply_detail_text(movement, "name", row.name, sizeof row.name, fault))
        return false;
    if (strcmp(movement->word, "slot") == 0 && !apply_needs(movement, movement->printer, "its printer", fault))
        return false;
    if (!apply_check_printer(movement, store, fault))
        return false;
    memcpy(row.code, movement->place, sizeof row.code);
    memcpy(row.kind, movement->word, sizeof row.kind);
    memcpy(row.printer, movement->printer, sizeof row.printer);
    row.version = movement->seq;
    return store->save_place(store->context, &row, fault);
}

static bool apply_printer_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct machine row = {0};
    if (!apply_needs(movement, movement->printer, "printer", fault) ||
        !apply_detail_text(movement, "name", row.name, sizeof row.name, fault))
        return false;
    if (movement->pieces < 0 || movement->pieces > SLOTS_MOST) /* MOVEMENT_NULL is below 0 */
        return fault_set(fault, FAULT_REFUSED, "printer '%s' takes 0 to %d cartridges: say how many", movement->printer,
                         SLOTS_MOST);
    memcpy(row.code, movement->printer, sizeof row.code);
    row.slots = movement->pieces;
    row.version = movement->seq;
    return store->save_machine(store->context, &row, fault);
}

static bool apply_person_entry(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct person row = {0};
    char letter = '\0';
    long number = 0;
    if (!apply_needs(movement, movement->unit, "badge", fault) ||
        !apply_check_word(movement, "technician receiver counter storekeeper auditor", fault) ||
        !serial_read(span_of(movement->unit), &letter, &number, fault))
        return false;
    if (letter != 'H')
        return fault_set(fault, FAULT_REFUSED, "'%s' is a thing's serial: a badge begins with H", movement->unit);
    memcpy(row.serial, movement->unit, sizeof row.serial);
    if (!apply_detail_text(movement, "training", row.training, sizeof row.training, fault))
        return false;
    memcpy(row.role, movement->word, sizeof row.role);
    row.version = movement->seq;
    return store->save_person(store->context, &row, movement->text, fault);
}

/* A PIN issued, an act approved: both are in the chain alone, and say who. */
static bool apply_of_badge(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct person row = {0};
    bool found = false;
    if (!apply_needs(movement, movement->unit, "badge", fault))
        return false;
    memcpy(row.serial, movement->unit, sizeof row.serial);
    return store->load_person(store->context, &row, &found, fault) &&
           (found ||
            fault_set(fault, FAULT_REFUSED, "person '%s' is not known: enter the person first", movement->unit));
}

/* The name itself is no part of the state that movements make: whoever erases it does so beside. */
static bool apply_name_erase(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct person row = {0};
    bool found = false;
    if (!apply_needs(movement, movement->unit, "badge", fault))
        return false;
    memcpy(row.serial, movement->unit, sizeof row.serial);
    if (!store->load_person(store->context, &row, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_REFUSED, "person '%s' is not known: there is no name to erase", movement->unit);
    memcpy(row.role, "left", sizeof "left");
    row.version = movement->seq;
    return store->save_person(store->context, &row, "", fault); /* "": the key of the name stays, it leads to nothing */
}

/* The clock's owner was a person: it is in the chain, and nothing stands anywhere else for it. */
static bool apply_clock_confirmed(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    (void)movement, (void)store, (void)fault;
    return true;
}

/* The chain says who gave a device its credential and who took it; the credential itself is no part of the ledger. */
static bool apply_device_word(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    return apply_needs(movement, movement->word, "device", fault) && apply_check_printer(movement, store, fault);
}

/* ---- the table ---- */

static apply_step *const steps[] = {
    [MOVEMENT_ITEM_ENTRY] = apply_item_entry,
    [MOVEMENT_PLACE_ENTRY] = apply_place_entry,
    [MOVEMENT_PRINTER_ENTRY] = apply_printer_entry,
    [MOVEMENT_PERSON_ENTRY] = apply_person_entry,
    [MOVEMENT_DELIVERY_OPEN] = apply_delivery_open,
    [MOVEMENT_DELIVERY_CLOSE] = apply_delivery_close,
    [MOVEMENT_RECEIPT] = apply_receipt,
    [MOVEMENT_TAKE_ON] = apply_take_on,
    [MOVEMENT_PRINT] = apply_print,
    [MOVEMENT_PUT_AWAY] = apply_put_away,
    [MOVEMENT_FILL] = apply_fill,
    [MOVEMENT_CHECK_OUT] = apply_check_out,
    [MOVEMENT_CHECK_IN] = apply_check_in,
    [MOVEMENT_JOB_START] = apply_job_start,
    [MOVEMENT_JOB_END] = apply_job_end,
    [MOVEMENT_HOLD] = apply_hold,
    [MOVEMENT_RELEASE] = apply_release,
    [MOVEMENT_QUESTION] = apply_question,
    [MOVEMENT_SETTLEMENT] = apply_settlement,
    [MOVEMENT_CORRECTION] = apply_correction,
    [MOVEMENT_CLOCK_CONFIRMED] = apply_clock_confirmed,
    [MOVEMENT_SUPPLY] = apply_supply,
    [MOVEMENT_POUR] = apply_pour,
    [MOVEMENT_USE] = apply_use,
    [MOVEMENT_WASTE] = apply_waste,
    [MOVEMENT_CLEAN] = apply_clean,
    [MOVEMENT_WEIGHING] = apply_weighing,
    [MOVEMENT_RETIRE] = apply_retire,
    [MOVEMENT_DISPOSE] = apply_dispose,
    [MOVEMENT_LEND] = apply_lend,
    [MOVEMENT_RELABEL] = apply_relabel,
    [MOVEMENT_RESERVE] = apply_reserve,
    [MOVEMENT_UNRESERVE] = apply_unreserve,
    [MOVEMENT_JOB_TICKET] = apply_job_ticket,
    [MOVEMENT_JOB_PLAN] = apply_job_plan,
    [MOVEMENT_JOB_DROP] = apply_job_drop,
    [MOVEMENT_INSPECTION] = apply_inspection,
    [MOVEMENT_PAIR] = apply_pair,
    [MOVEMENT_STIR] = apply_stir,
    [MOVEMENT_SURFACE_RENEWAL] = apply_surface_renewal,
    [MOVEMENT_LIFE_SHOWN] = apply_life_shown,
    [MOVEMENT_DEVICE_ENTRY] = apply_device_word,
    [MOVEMENT_DEVICE_REVOKE] = apply_device_word,
    [MOVEMENT_STICKER_ENTRY] = apply_sticker_entry,
    [MOVEMENT_STICKER_FORGET] = apply_sticker_forget,
    [MOVEMENT_SUBSTITUTION_ENTRY] = apply_substitution_entry,
    [MOVEMENT_SUBSTITUTION_END] = apply_substitution_end,
    [MOVEMENT_PRINT_MOVE] = apply_print_move,
    [MOVEMENT_PRINT_TELL] = apply_print_tell,
    [MOVEMENT_CALIBRATION] = apply_calibration,
    [MOVEMENT_PRINT_LOOK] = apply_print_look,
    [MOVEMENT_PRINT_BASELINE] = apply_print_baseline,
    [MOVEMENT_NAME_ERASE] = apply_name_erase,
    [MOVEMENT_PIN_ISSUE] = apply_of_badge,
    [MOVEMENT_APPROVAL] = apply_of_badge,
};
_Static_assert(sizeof steps / sizeof *steps == MOVEMENT_KIND_COUNT, "one function a kind");

/* Sums over a whole ledger must fit 64 bits, and a day must be one that a calendar can show. */
static bool check_numbers(const struct movement *movement, struct fault *fault)
{
    static const int64_t most = INT64_C(1000000000000);
    const int64_t first = calendar_day(CALENDAR_FIRST_YEAR, 1, 1).number,
                  last = calendar_day(CALENDAR_LAST_YEAR, 12, 31).number;
    const struct {
        const char *name;
        int64_t value, least, most;
    } numbers[] = {
        {"amount", movement->amount_ul, 0, most},        {"minutes", movement->minutes, 0, most},
        {"pieces", movement->pieces, 0, most},           {"fill date", movement->filled, first, last},
        {"expiry date", movement->expires, first, last},
    };
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (numbers[i].value != MOVEMENT_NULL &&
            (numbers[i].value < numbers[i].least || numbers[i].value > numbers[i].most))
            return fault_set(fault, FAULT_REFUSED, "a %s cannot have %s %lld: say it again",
                             movement_kind_word(movement->kind), numbers[i].name, (long long)numbers[i].value);
    return true;
}

bool apply(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    if (movement->kind < 0 || movement->kind >= MOVEMENT_KIND_COUNT)
        return fault_set(fault, FAULT_REFUSED, "movement %lld has a kind that this version does not know",
                         (long long)movement->seq);
    return check_numbers(movement, fault) && steps[movement->kind](movement, store, fault);
}
