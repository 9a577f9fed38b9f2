#include <string.h>

#include "kiosk/desk/care.h"
#include "kiosk/desk/check_in.h"
#include "kiosk/desk/check_out.h"
#include "kiosk/desk/clean.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/delivery.h"
#include "kiosk/desk/hold.h"
#include "kiosk/desk/inspect.h"
#include "kiosk/desk/keep.h"
#include "kiosk/desk/label_lost.h"
#include "kiosk/desk/lend.h"
#include "kiosk/desk/life_shown.h"
#include "kiosk/desk/pair.h"
#include "kiosk/desk/pour.h"
#include "kiosk/desk/receive.h"
#include "kiosk/desk/retire.h"
#include "kiosk/desk/scan_act.h"
#include "kiosk/desk/scan_parts.h"
#include "kiosk/desk/take_on_scan.h"
#include "kiosk/desk/undo.h"

static bool press_yes(struct turn *turn, int64_t quantity, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->undo_asked[0] != '\0')
        return undo_confirm(turn, fault);
    if (counter->step == STEP_RECEIPT && counter->carton.asks != CARTON_ASKS_NOTHING)
        return receive_answer(turn, true, fault);
    if (counter->carton.asks == CARTON_ASKS_DELIVERY)
        return delivery_key(turn, fault);
    if (counter->spoken && counter->verdict.verdict == VERDICT_STOP && counter->step != STEP_CHECK_OUT)
        return counter->step != STEP_RECEIPT || receive_show(turn, fault); /* YES never answers a stop */
    switch (counter->step) {
    case STEP_CHECK_OUT:
        return check_out_confirm(turn, fault);
    case STEP_CHECK_IN:
        return check_in_confirm(turn, fault);
    case STEP_POUR:
        return pour_confirm(turn, fault);
    case STEP_CLEAN:
        return clean_confirm(turn, fault);
    case STEP_RETIRE:
        return retire_confirm(turn, fault);
    case STEP_LEND:
        return lend_confirm(turn, fault);
    case STEP_LABEL_LOST:
        return label_lost_confirm(turn, fault);
    case STEP_TAKE_ON:
        return take_on_confirm(turn, fault);
    case STEP_LIFE:
        return life_shown_confirm(turn, fault);
    case STEP_RECEIPT:
        return receive_confirm(turn, quantity, fault);
    case STEP_PROOF:
        if (counter->receipt.quantity > 0)
            return receive_confirm(turn, quantity, fault);
        break;
    default:
        break;
    }
    counter_note(counter, "Nothing is asked just now: scan something.");
    return true;
}

static bool press_no(struct turn *turn)
{
    struct counter *counter = &turn->counter;
    const bool undo_was_asked = counter->undo_asked[0] != '\0';
    counter_clear_group(counter);
    counter_note(counter, undo_was_asked ? "Left as it is." : "Put aside: nothing was booked.");
    return true;
}

static bool press_done(struct turn *turn, struct fault *fault)
{
    (void)fault;
    struct counter *counter = &turn->counter;
    counter_clear_group(counter);
    counter->person[0] = '\0';
    counter_note(counter, "Signed out.");
    return true;
}

static bool press_overrule(struct turn *turn, struct fault *fault)
{
    switch (turn->counter.step) {
    case STEP_CHECK_OUT:
        return check_out_overrule(turn, fault);
    case STEP_POUR:
        return pour_overrule(turn, fault);
    case STEP_RETIRE:
        return retire_overrule(turn, fault);
    case STEP_LEND:
        return lend_overrule(turn, fault);
    default:
        counter_note(&turn->counter, "Nothing is stopped here that a storekeeper could overrule.");
        return true;
    }
}

static bool press_taken(struct turn *turn, struct fault *fault)
{
    switch (turn->counter.step) {
    case STEP_POUR:
        return pour_done_already(turn, fault);
    case STEP_LEND:
        return lend_taken(turn, fault);
    default:
        return check_out_taken(turn, fault);
    }
}

/* Cards that count though it is not said which vat is in hand. */
static bool counts_before_the_tray(const char *card)
{
    static const char *const words[] = {"NO", "DONE", "UNDO", "HOLD", "TRAY-MOVED", "TRAY-STAYS"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(words[i], card) == 0)
            return true;
    return false;
}

/* Cards that begin an act, or end what is going on, whatever it is. */
static const struct {
    const char *card;
    bool (*press)(struct turn *turn, struct fault *fault);
} beginnings[] = {
    {"UNDO", undo_card},
    {"TAKEN", press_taken},
    {"OVERRULE", press_overrule},
    {"POUR", pour_begin},
    {"CLEAN", clean_begin},
    {"RETIRE", retire_begin},
    {"INSPECTED", inspect_begin},
    {"STIRRED", care_stirred},
    {"NEW-SURFACE", care_new_surface},
    {"LIFE-SHOWN", life_shown_begin},
    {"LABEL-LOST", label_lost_begin},
    {"TAKE-ON", take_on_begin},
    {"KEEP", keep_begin},
    {"FREE", keep_free},
    {"HOLD", hold_group},
    {"DONE", press_done},
    {"DELIVERY", delivery_key},
};

/* Amounts, hours, days, conditions: the first to whom the card says something takes it. */
static bool (*const takers[])(struct turn *turn, const char *card, bool *mine, struct fault *fault) = {
    scan_tray_card, hold_card, check_out_card, lend_card,     take_on_card,
    inspect_card,   keep_card, pour_card,      check_in_card, life_shown_card,
};

bool press_card(struct turn *turn, const char *card, int64_t quantity, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (pair_is_asked(counter) && counter->undo_asked[0] == '\0' && !counts_before_the_tray(card))
        return pair_ask(turn, fault);
    if (strcmp(card, "YES") == 0)
        return press_yes(turn, quantity, fault);
    if (strcmp(card, "NO") == 0)
        return press_no(turn);
    if (strcmp(card, "OTHER") == 0 && counter->step == STEP_RECEIPT && counter->carton.asks != CARTON_ASKS_NOTHING)
        return receive_answer(turn, false, fault);
    counter->undo_asked[0] = '\0'; /* anything else lets what was asked go */
    counter->carton.asks = CARTON_ASKS_NOTHING;
    for (size_t i = 0; i < sizeof beginnings / sizeof *beginnings; i++)
        if (strcmp(beginnings[i].card, card) == 0)
            return beginnings[i].press(turn, fault);
    bool mine = false;
    for (size_t i = 0; !mine && i < sizeof takers / sizeof *takers; i++)
        if (!takers[i](turn, card, &mine, fault))
            return false;
    if (!mine)
        counter_note(counter, "The card %s says nothing here: scan a thing first.", card);
    return true;
}

bool press_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"word", "quantity", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    char word[CARD_SIZE];
    int64_t quantity;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "word", CONTENT_REQUIRED, word, sizeof word, fault) ||
        !content_count(content, "quantity", CONTENT_OPTIONAL, 1, RECEIPT_QUANTITY_MAX, &quantity, fault))
        return false;
    if (turn.counter.name[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'counter' is missing: say where the key was pressed");
    return press_card(&turn, word, quantity, fault) && turn_answer(&turn, answer, fault);
}
