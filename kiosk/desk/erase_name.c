#include "kiosk/desk/erase_name.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/keep.h"
#include "kiosk/desk/people.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/erasure.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/ledger/unit.h"

static bool keep_serial(const struct unit *unit, void *context)
{
    if (unit->status != UNIT_OUT)
        return true;
    turn_copy(context, SERIAL_SIZE, unit->serial);
    return false;
}

static bool has_nothing_out(struct turn *turn, const char *person, struct fault *fault)
{
    char serial[SERIAL_SIZE] = "";
    if (!unit_each(turn->ledger, UNIT_BY_HOLDER, person, "", INT64_MAX, keep_serial, serial, fault))
        return false;
    return serial[0] == '\0' ||
           fault_set(fault, FAULT_REFUSED, "%s still has %s out: check it in first, then erase the name", person,
                     serial);
}

static bool may_erase(struct turn *turn, const char *serial, struct fault *fault)
{
    struct person person;
    bool found = false;
    if (!person_load(turn->ledger, serial, &person, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "person '%s' is not known here: check the badge", serial);
    if (strcmp(person.role, "left") == 0)
        return fault_set(fault, FAULT_REFUSED, "the name of %s is erased already", serial);
    return people_keep_storekeeper(turn, &person, "left", fault) && has_nothing_out(turn, serial, fault);
}

bool name_erase_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"person", NULL};
    struct turn turn;
    struct movement erased;
    movement_init(&erased, MOVEMENT_NAME_ERASE);
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_code(context->act->content, "person", CONTENT_REQUIRED, erased.unit, sizeof erased.unit, fault) ||
        !may_erase(&turn, erased.unit, fault) || !keep_end_of_person(&turn, erased.unit, fault) ||
        !turn_book(&turn, &erased, fault) || !erasure_of_name(turn.ledger, erased.unit, fault) ||
        !pin_forget(turn.ledger, erased.unit, fault))
        return false;
    if (strcmp(turn.counter.person, erased.unit) == 0)
        turn_sign_out(&turn);
    counter_say(&turn.counter,
                "The name of %s is erased. Old backups still hold it: delete those that you need not keep.",
                erased.unit);
    return turn_answer(&turn, answer, fault);
}
