#include "kiosk/desk/reprint.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/label_choice.h"
#include "kiosk/desk/labels.h"
#include "kiosk/ledger/catalogue.h"

static const char WAITS_ALREADY[] = "label %lld of %s waits for the label printer already: see to the printer";

static bool is_known(struct turn *turn, const char *serial, struct fault *fault)
{
    struct person person;
    struct unit unit;
    bool found;
    if (serial[0] == 'H' ? !person_load(turn->ledger, serial, &person, &found, fault)
                         : !unit_load(turn->ledger, serial, &unit, &found, fault))
        return false;
    return found || fault_set(fault, FAULT_MISSING, "'%s' is not known here: check the serial", serial);
}

static bool reprint_one(struct turn *turn, const char *unit, const char *place, struct fault *fault)
{
    struct print newest;
    bool found;
    if ((unit[0] != '\0' && !is_known(turn, unit, fault)) || !labels_newest(turn, unit, place, &newest, &found, fault))
        return false;
    if (found && newest.state == PRINT_WAITING)
        return fault_set(fault, FAULT_REFUSED, WAITS_ALREADY, (long long)newest.number, unit[0] ? unit : place);
    if (unit[0] != '\0' ? !labels_order(turn, unit, fault) : !labels_order_place(turn, place, fault))
        return false;
    counter_say(&turn->counter, "A new label of %s is printed. Scan it when it is stuck on, and destroy the old one.",
                unit[0] ? unit : place);
    return unit[0] == '\0' || labels_settle(turn, unit, "reprinted", fault);
}

/* Whether another label of this thing makes sense: not when one waits already, nor when it was taken back. */
static bool wants_label(struct turn *turn, const struct print *label, bool *wants, struct fault *fault)
{
    struct print newest;
    struct unit unit = {.status = UNIT_IN};
    bool found, known = true;
    if (!labels_newest(turn, label->unit, label->place, &newest, &found, fault) ||
        (label->unit[0] != '\0' && label->unit[0] != 'H' &&
         !unit_load(turn->ledger, label->unit, &unit, &known, fault)))
        return false;
    *wants =
        known && unit.status != UNIT_VOID && unit.status != UNIT_RELABELLED && found && newest.state != PRINT_WAITING;
    return true;
}

static bool reprint_range(struct turn *turn, const struct label_choice *choice, struct fault *fault)
{
    char words[LABEL_CHOICE_WORDS];
    size_t ordered = 0;
    label_choice_words(choice, words);
    for (size_t i = 0; i < choice->batch.count; i++) {
        const struct print *label = &choice->batch.labels[i];
        bool wants;
        if (!wants_label(turn, label, &wants, fault))
            return false;
        if (!wants)
            continue;
        if (label->unit[0] != '\0'
                ? !labels_order(turn, label->unit, fault) || !labels_settle(turn, label->unit, "reprinted", fault)
                : !labels_order_place(turn, label->place, fault))
            return false;
        ordered++;
    }
    if (ordered == 0)
        return fault_set(fault, FAULT_REFUSED, "%s wait for the label printer already, or were taken back", words);
    counter_say(&turn->counter, "Of %s %zu %s printed anew. Scan each when it is stuck on, and destroy the old ones.",
                words, ordered, ordered == 1 ? "is" : "are");
    return true;
}

bool reprint_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {LABEL_CHOICE_KEYS, NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct label_choice choice;
    char unit[SERIAL_SIZE], place[PLACE_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_OPTIONAL, unit, sizeof unit, fault) ||
        !content_code(content, "place", CONTENT_OPTIONAL, place, sizeof place, fault))
        return false;
    if (unit[0] != '\0' && place[0] == '\0' && !is_known(&turn, unit, fault))
        return false; /* before its labels are looked for: "not known" says more than "no label" */
    if (!label_choice_load(&turn, &choice, fault))
        return false;
    const bool done = choice.is_batch ? reprint_range(&turn, &choice, fault) : reprint_one(&turn, unit, place, fault);
    label_choice_clear(&choice);
    return done && turn_answer(&turn, answer, fault);
}
