#include "kiosk/desk/retire.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/overrule.h"
#include "kiosk/desk/pour.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/contents.h"

enum { UL_A_ML = 1000 };

struct retiring {
    struct unit old;
    char fresh[SERIAL_SIZE]; /* takes the resin; "" not said */
    char reason[WORD_SIZE];
    struct contents rest;
};

static bool load(struct turn *turn, const char *serial, struct retiring *retiring, struct fault *fault)
{
    return thing_require_unit(turn->ledger, serial, &retiring->old, fault) &&
           contents_load(turn->ledger, &retiring->old, &retiring->rest, fault);
}

static bool holds_resin(const struct retiring *retiring)
{
    return retiring->rest.count > 0 && retiring->rest.total_ul != 0;
}

/* Who may, what is left in it, whether the fresh one may have that. */
static bool judge(struct turn *turn, const struct retiring *retiring, struct verdict_list *list, struct fault *fault)
{
    const char *serial = retiring->old.serial;
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    if (holds_resin(retiring) && retiring->fresh[0] != '\0' &&
        !pour_all_judge(turn, serial, retiring->fresh, list, fault))
        return false;
    turn_judge_person(turn, "retire", list);
    if (retiring->old.status != UNIT_IN && retiring->old.status != UNIT_OUT)
        verdict_add(list, REASON_GONE, serial, "%s is no longer in service (%s).", serial,
                    unit_status_word(retiring->old.status));
    if (!holds_resin(retiring) || retiring->fresh[0] != '\0')
        return true;
    if (retiring->rest.total_ul == MOVEMENT_NULL)
        verdict_add(list, REASON_STILL_FULL, serial, "Nobody knows how much is still in %s.", serial);
    else
        verdict_add(list, REASON_STILL_FULL, serial, "%g ml are still in %s.",
                    (double)retiring->rest.total_ul / UL_A_ML, serial);
    return true;
}

/* The tray's label goes with its vat. */
static bool retire_tray(struct turn *turn, const struct retiring *retiring, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_RETIRE);
    if (retiring->old.pair[0] == '\0')
        return true;
    turn_copy(movement.unit, sizeof movement.unit, retiring->old.pair);
    turn_copy(movement.word, sizeof movement.word, retiring->reason);
    return turn_book(turn, &movement, fault);
}

/* Books what `list` lets go, or what was overruled of it; what has to be read is said once more. */
static bool book(struct turn *turn, const struct retiring *retiring, const struct verdict_list *list,
                 struct fault *fault)
{
    const struct verdict_list *overruled = list->verdict == VERDICT_STOP ? list : NULL;
    const bool moves = holds_resin(retiring);
    char did[COUNTER_TITLE_SIZE];
    struct movement movement;
    struct builder out;
    movement_init(&movement, MOVEMENT_RETIRE);
    if (moves && !pour_all_book(turn, retiring->old.serial, retiring->fresh, fault))
        return false;
    turn_copy(movement.unit, sizeof movement.unit, retiring->old.serial);
    turn_copy(movement.other, sizeof movement.other, moves ? retiring->fresh : "");
    turn_copy(movement.word, sizeof movement.word, retiring->reason);
    if (!overrule_note(turn, overruled, &movement, fault) || !turn_book(turn, &movement, fault) ||
        !retire_tray(turn, retiring, fault))
        return false;
    counter_clear_group(&turn->counter);
    builder_init(&out, did, sizeof did);
    builder_addf(&out, "Booked: %s is retired (%s)", retiring->old.serial, retiring->reason);
    if (moves)
        builder_addf(&out, ", what was in it is in %s", retiring->fresh);
    builder_add(&out, ". Deface its labels.");
    overrule_say(&turn->counter, overruled, did);
    verdict_add_notes(&turn->counter.verdict, list);
    return true;
}

/* ---- at the counter ---- */

static bool look_at_counter(struct turn *turn, struct retiring *retiring, struct verdict_list *list,
                            struct fault *fault)
{
    struct counter *counter = &turn->counter;
    turn_copy(retiring->reason, sizeof retiring->reason, "worn");
    turn_copy(retiring->fresh, sizeof retiring->fresh, counter->unit_count > 1 ? counter->units[1].serial : "");
    return load(turn, counter->units[0].serial, retiring, fault) && judge(turn, retiring, list, fault);
}

bool retire_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct retiring retiring;
    struct verdict_list list;
    const bool may = counter->step == STEP_CHECK_OUT || counter->step == STEP_CHECK_IN || counter->step == STEP_RETIRE;
    if (!may || counter->unit_count == 0 || counter->unit_count > 2) {
        counter_note(counter, "Scan what is worn out, then the fresh one that takes its resin, then the card.");
        return true;
    }
    if (!look_at_counter(turn, &retiring, &list, fault))
        return false;
    counter->step = STEP_RETIRE;
    counter->place[0] = '\0';
    if (list.verdict != VERDICT_GO) {
        counter_show(counter, &list);
        return true;
    }
    if (holds_resin(&retiring))
        counter_ask(counter, "Retire %s and pour all of its resin into %s?", retiring.old.serial, retiring.fresh);
    else
        counter_ask(counter, "Retire %s? It can't be used any more.", retiring.old.serial);
    verdict_add_notes(&counter->verdict, &list);
    return true;
}

bool retire_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!counter_find(counter, serial) && counter->unit_count < 2)
        (void)counter_add(counter, serial);
    return retire_begin(turn, fault);
}

bool retire_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct retiring retiring;
    struct verdict_list list;
    if (counter->unit_count == 0)
        return retire_begin(turn, fault);
    if (!look_at_counter(turn, &retiring, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP || !verdict_covers(&counter->verdict, &list)) {
        counter_show(counter, &list);
        return true;
    }
    if (!turn_has_person(turn, "retire", "to retire it"))
        return true;
    if (!book(turn, &retiring, &list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool retire_overrule(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct retiring retiring;
    struct verdict_list list;
    bool go;
    if (counter->unit_count == 0)
        return retire_begin(turn, fault);
    if (!look_at_counter(turn, &retiring, &list, fault) ||
        !overrule_at_counter(turn, &list, "to retire it", &go, fault))
        return false;
    if (!go)
        return true;
    if (!book(turn, &retiring, &list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* ---- by the page or a script ---- */

bool retire_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "to", "reason", "confirm", "overrule", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct retiring retiring;
    struct verdict_list list;
    char serial[SERIAL_SIZE];
    bool confirm, overrule;
    if (!turn_open(context, &turn, fault) || !content_flag(content, "overrule", &overrule, fault) ||
        (!overrule && !turn_may(&turn, "retire", fault)) || /* of what may be overruled, the verdict says who may */
        !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_code(content, "to", CONTENT_OPTIONAL, retiring.fresh, sizeof retiring.fresh, fault) ||
        !content_word(content, "reason", CONTENT_REQUIRED, retiring.reason, sizeof retiring.reason, fault) ||
        !content_flag(content, "confirm", &confirm, fault) || !load(&turn, serial, &retiring, fault) ||
        !judge(&turn, &retiring, &list, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who retires it");
    if (list.verdict == VERDICT_STOP && overrule) {
        if (!overrule_in_act(&turn, &list, fault) || !book(&turn, &retiring, &list, fault))
            return false;
    } else if (list.verdict == VERDICT_GO || (list.verdict == VERDICT_ASK && confirm)) {
        if (!book(&turn, &retiring, &list, fault))
            return false;
    } else {
        counter_show(&turn.counter, &list);
    }
    return turn_answer(&turn, answer, fault);
}

static bool dispose_of(struct turn *turn, const char *serial, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_DISPOSE);
    turn_copy(movement.unit, sizeof movement.unit, serial);
    return turn_book(turn, &movement, fault);
}

bool dispose_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit unit;
    char serial[SERIAL_SIZE];
    bool found;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who disposed of it");
    if (!unit_load(turn.ledger, serial, &unit, &found, fault) || !dispose_of(&turn, serial, fault) ||
        (found && unit.pair[0] != '\0' && !dispose_of(&turn, unit.pair, fault))) /* the tray goes with its vat */
        return false;
    counter_say(&turn.counter, "Booked: %s has left the room.", serial);
    return turn_answer(&turn, answer, fault);
}
