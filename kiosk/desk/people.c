#include "kiosk/desk/people.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/rules/permission.h"

struct other_storekeeper {
    const char *than;
    bool found;
};

static bool look_for_other(const struct person *person, void *context)
{
    struct other_storekeeper *other = context;
    other->found =
        other->found || (strcmp(person->role, "storekeeper") == 0 && strcmp(person->serial, other->than) != 0);
    return !other->found;
}

/* Without one nobody could enter or release anything any more: the last one stays. */
bool people_keep_storekeeper(struct turn *turn, const struct person *before, const char *role, struct fault *fault)
{
    struct other_storekeeper other = {.than = before->serial};
    if (strcmp(before->role, "storekeeper") != 0 || strcmp(role, "storekeeper") == 0)
        return true;
    if (!person_each(turn->ledger, look_for_other, &other, fault))
        return false;
    return other.found ||
           fault_set(fault, FAULT_REFUSED, "%s is the last storekeeper: enter another one first", before->serial);
}

static bool load(struct turn *turn, const char *serial, struct person *person, struct fault *fault)
{
    bool found;
    return person_load(turn->ledger, serial, person, &found, fault) &&
           (found || fault_set(fault, FAULT_MISSING, "person '%s' is not known here: check the badge", serial));
}

/* ---- entries ---- */

/* ["retire", "pour"] -> "pour retire": in the table's order, so that the same training is the same text. */
static bool read_training(const json_t *content, const char *before, char training[TRAINING_SIZE], struct fault *fault)
{
    static const char *const words[] = {PERMISSION_TRAINS};
    const json_t *list = json_object_get(content, "training"), *said;
    struct builder out;
    size_t i, known = 0;
    if (!list) {
        turn_copy(training, TRAINING_SIZE, before);
        return true;
    }
    builder_init(&out, training, TRAINING_SIZE);
    for (size_t w = 0; w < sizeof words / sizeof *words; w++) {
        bool has = false;
        json_array_foreach(list, i, said)
        {
            const bool same = json_is_string(said) && strcmp(json_string_value(said), words[w]) == 0;
            known += same;
            has = has || same;
        }
        if (has)
            builder_addf(&out, "%s%s", out.length > 0 ? " " : "", words[w]);
    }
    return (json_is_array(list) && known == json_array_size(list)) ||
           fault_set(fault, FAULT_INPUT, "'training' is a list of words: known are pour and retire");
}

static bool book_entry(struct turn *turn, struct movement *entry, const char *name, const char *training,
                       struct fault *fault)
{
    json_t *detail = training[0] != '\0' ? json_pack("{s:s}", "training", training) : json_object();
    const bool written = movement_detail_write(detail, entry->detail, fault);
    json_decref(detail);
    return written && ledger_text_put(turn->ledger, name, entry->text, fault) && turn_book(turn, entry, fault);
}

bool person_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"name", "role", "serial", "training", NULL};
    static const char *const roles[] = {PERMISSION_ROLES, NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement entry;
    struct person before = {.role = ""};
    char name[NAME_SIZE], training[TRAINING_SIZE];
    movement_init(&entry, MOVEMENT_PERSON_ENTRY);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_text(content, "name", CONTENT_REQUIRED, name, sizeof name, fault) ||
        !content_one_of(content, "role", CONTENT_REQUIRED, roles, entry.word, sizeof entry.word, fault) ||
        !content_code(content, "serial", CONTENT_OPTIONAL, entry.unit, sizeof entry.unit, fault))
        return false;
    const bool is_new = entry.unit[0] == '\0';
    if (is_new
            ? !ledger_next_serial(turn.ledger, 'H', entry.unit, fault)
            : !load(&turn, entry.unit, &before, fault) || !people_keep_storekeeper(&turn, &before, entry.word, fault))
        return false;
    if (!read_training(content, before.training, training, fault) ||
        !book_entry(&turn, &entry, name, training, fault) || (is_new && !labels_order(&turn, entry.unit, fault)) ||
        (strcmp(entry.word, "storekeeper") != 0 && !pin_forget(turn.ledger, entry.unit, fault)))
        return false;
    counter_say(&turn.counter, "Entered: %s, %s. Badge %s%s.", name, entry.word, entry.unit,
                is_new ? " is printed" : "");
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", json_string(entry.unit));
    return true;
}

/* ---- PINs ---- */

static bool book_pin(struct turn *turn, const char *serial, struct fault *fault)
{
    struct movement issued;
    struct pin pin = {.issued_ms = turn->act->moment.wall.ms};
    movement_init(&issued, MOVEMENT_PIN_ISSUE);
    turn_copy(issued.unit, sizeof issued.unit, serial);
    turn_copy(pin.person, sizeof pin.person, serial);
    turn_copy(pin.hash, sizeof pin.hash, turn->act->act->aside);
    return turn_book(turn, &issued, fault) && pin_store(turn->ledger, &pin, fault);
}

static bool is_storekeeper(const struct person *person, struct fault *fault)
{
    return strcmp(person->role, "storekeeper") == 0 ||
           fault_set(fault, FAULT_REFUSED, "a PIN is for storekeepers, who approve with it: %s is entered as %s",
                     person->serial, person->role);
}

/* The answer is kept for a repeat: it names whom the PIN is for, and the PIN is not in it. */
static bool answer_issued(struct turn *turn, const struct person *person, json_t **answer, struct fault *fault)
{
    counter_say(&turn->counter, "%s has a new PIN. It is shown once: write it down now.",
                person->name[0] ? person->name : person->serial);
    if (!turn_answer(turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", json_string(person->serial));
    return true;
}

bool pin_issue_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"person", NULL};
    struct turn turn;
    struct person person;
    char serial[SERIAL_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_code(context->act->content, "person", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !load(&turn, serial, &person, fault) || !is_storekeeper(&person, fault) ||
        !turn_approve(&turn, "approves a new PIN", fault))
        return false;
    if (context->act->aside[0] == '\0')
        return fault_set(fault, FAULT_REFUSED, "a PIN is made by the kiosk itself: ask for it over POST /api/acts");
    return book_pin(&turn, serial, fault) && answer_issued(&turn, &person, answer, fault);
}

/* ---- the first one ---- */

static bool look_for_storekeeper(const struct person *person, void *context)
{
    bool *found = context;
    *found = strcmp(person->role, "storekeeper") == 0;
    return !*found;
}

/* Is the code still good for anything? Two kiosks on one ledger may each have written one. */
static bool is_first(struct turn *turn, bool by_name, struct fault *fault)
{
    bool any_pin = false, any = false;
    if (!pin_any(turn->ledger, &any_pin, fault) || !person_each(turn->ledger, look_for_storekeeper, &any, fault))
        return false;
    if (any_pin && !turn->desk->enrols_again)
        return fault_set(
            fault, FAULT_REFUSED,
            "a storekeeper has a PIN already, and issues others on the page Room: the code counts no more");
    return !by_name || !any ||
           fault_set(fault, FAULT_REFUSED, "this room has a storekeeper: say who gets the PIN, not a new name");
}

bool enrol_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"name", "person", NULL};
    const json_t *content = context->act->content;
    const bool by_name = json_object_get(content, "name") != NULL;
    struct turn turn;
    struct movement entry;
    struct person person = {.role = "storekeeper"};
    movement_init(&entry, MOVEMENT_PERSON_ENTRY);
    turn_copy(entry.word, sizeof entry.word, "storekeeper");
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_text(content, "name", by_name ? CONTENT_REQUIRED : CONTENT_OPTIONAL, person.name, sizeof person.name,
                      fault) ||
        !content_code(content, "person", by_name ? CONTENT_OPTIONAL : CONTENT_REQUIRED, person.serial,
                      sizeof person.serial, fault))
        return false;
    if (by_name && person.serial[0] != '\0')
        return fault_set(fault, FAULT_INPUT,
                         "say 'name' for the first storekeeper, or 'person' for one entered before");
    if (context->act->aside[0] == '\0')
        return fault_set(fault, FAULT_APPROVAL, "this needs the code that the kiosk wrote where it was started");
    if (!is_first(&turn, by_name, fault))
        return false;
    if (by_name ? !ledger_next_serial(turn.ledger, 'H', person.serial, fault)
                : !load(&turn, person.serial, &person, fault) || !is_storekeeper(&person, fault))
        return false;
    turn_copy(entry.unit, sizeof entry.unit, person.serial);
    if (by_name && (!book_entry(&turn, &entry, person.name, "", fault) || !labels_order(&turn, entry.unit, fault)))
        return false;
    return book_pin(&turn, person.serial, fault) && answer_issued(&turn, &person, answer, fault);
}

bool pin_tried_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"person", NULL};
    struct pin pin;
    char serial[SERIAL_SIZE];
    bool found;
    if (context->act->aside[0] == '\0')
        return fault_set(fault, FAULT_REFUSED, "only the kiosk itself says whether a PIN was right");
    if (!content_only(context->act->content, keys, fault) ||
        !content_code(context->act->content, "person", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !pin_load(context->ledger, serial, &pin, &found, fault))
        return false;
    *answer = json_object();
    context->final = true;
    if (!found) /* forgotten meanwhile */
        return true;
    const bool right = strcmp(context->act->aside, "right") == 0;
    pin.wrong = right ? 0 : pin.wrong + 1;
    pin.tried_ms = right ? 0 : context->moment.wall.ms;
    return pin_store(context->ledger, &pin, fault);
}
