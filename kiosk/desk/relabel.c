#include "kiosk/desk/relabel.h"

#include <string.h>

#include "kiosk/desk/alarm.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/label_lost.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/pair.h"
#include "kiosk/desk/print_queue.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/apply.h"

bool relabel_judge(struct turn *turn, const struct unit *unit, struct verdict_list *list, struct fault *fault)
{
    struct thing thing;
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    if (!thing_of_unit(turn->ledger, unit, &thing, fault))
        return false;
    const struct check_out_thing seen = thing_for_rule(&thing);
    (void)check_out_judge_gone(&seen, list);
    turn_judge_person(turn, "relabel", list);
    return true;
}

/* Its old label must not come out of the printer any more. Before the serial is given up: UNDO goes backwards. */
static bool drop_labels(struct turn *turn, const struct unit *unit, struct fault *fault)
{
    for (int64_t number = 1; number <= unit->prints; number++) {
        struct print print;
        bool found;
        if (!print_load(turn->ledger, unit->serial, "", number, &print, &found, fault) ||
            (found && !print_queue_drop(turn, &print, fault)))
            return false;
    }
    return labels_settle(turn, unit->serial, "relabelled", fault);
}

/* A vat's tray keeps its label, which leads to the vat's new one from now on. */
static bool give_serial(struct turn *turn, const struct unit *unit, char fresh[SERIAL_SIZE], struct fault *fault)
{
    const bool has_tray = unit->pair[0] != '\0';
    struct unit_state old = {.unit = *unit, .mix = ""};
    struct unit_mix mix = {.lots = ""};
    struct movement relabel;
    bool found = false;
    if (!unit_mix_load(turn->ledger, unit->serial, &mix, &found, fault))
        return false;
    if (found)
        turn_copy(old.mix, sizeof old.mix, mix.lots);
    if (has_tray && !pair_book(turn, unit->serial, unit->pair, "apart", fault))
        return false;
    old.unit.pair[0] = '\0';
    return ledger_next_serial(turn->ledger, unit->serial[0], fresh, fault) &&
           apply_write_relabel(&old, fresh, &relabel, fault) && turn_book(turn, &relabel, fault) &&
           (!has_tray || pair_book(turn, fresh, unit->pair, "", fault));
}

static bool ask_about_choice(struct turn *turn, const char *old, const char *fresh, struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "%s lost its label and is %s now: that it is this one was chosen, not found by elimination.",
                 old, fresh);
    return turn_question(turn, "label-chosen", fresh, note, fault);
}

/* Its label was never on it: printed again it says the same. */
static bool print_again(struct turn *turn, const struct unit *unit, char fresh[SERIAL_SIZE], struct fault *fault)
{
    struct print newest;
    bool found;
    if (!labels_newest(turn, unit->serial, "", &newest, &found, fault))
        return false;
    const bool waits = found && (newest.state == PRINT_WAITING || newest.state == PRINT_SENT);
    if (!waits && (!labels_order(turn, unit->serial, fault) || !labels_settle(turn, unit->serial, "reprinted", fault)))
        return false;
    turn_copy(fresh, SERIAL_SIZE, unit->serial);
    counter_say(&turn->counter, "The label of %s was never scanned back: it %s. Stick it on, then scan it.",
                unit->serial, waits ? "waits for the label printer" : "is printed again");
    return true;
}

bool relabel_book(struct turn *turn, const struct unit *unit, bool chosen, char fresh[SERIAL_SIZE], struct fault *fault)
{
    counter_clear_group(&turn->counter);
    if (!unit->labelled)
        return print_again(turn, unit, fresh, fault);
    if (!drop_labels(turn, unit, fault) || !give_serial(turn, unit, fresh, fault) ||
        !labels_order(turn, fresh, fault) || (chosen && !ask_about_choice(turn, unit->serial, fresh, fault)))
        return false;
    counter_say(
        &turn->counter,
        "Booked: %s is %s from now on. Stick the new label on, then scan it; the old one alarms if it turns up.",
        unit->serial, fresh);
    return true;
}

bool relabel_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "confirm", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit unit;
    struct verdict_list list;
    char serial[SERIAL_SIZE], fresh[SERIAL_SIZE] = "";
    bool confirm, sure;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_flag(content, "confirm", &confirm, fault) || !thing_require_unit(turn.ledger, serial, &unit, fault) ||
        !relabel_judge(&turn, &unit, &list, fault) || !label_lost_is_found(&turn, serial, &sure, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who gives it a label");
    if (list.verdict == VERDICT_GO && !confirm)
        verdict_add(&list, REASON_LABEL_IN_HAND, serial, "%s would get a new serial: is its label surely gone?",
                    serial);
    if (unit.status == UNIT_RELABELLED) {
        if (!alarm_scanned(&turn, &unit, fault))
            return false;
    } else if (list.verdict != VERDICT_GO) {
        counter_show(&turn.counter, &list);
    } else if (!relabel_book(&turn, &unit, !sure && strcmp(turn.role, "storekeeper") != 0, fresh, fault)) {
        return false;
    }
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", fresh[0] ? json_string(fresh) : json_null());
    return true;
}
