#include "kiosk/desk/pair.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/thing.h"

bool pair_book(struct turn *turn, const char *vat, const char *tray, const char *word, struct fault *fault)
{
    struct movement movement;
    struct unit row;
    movement_init(&movement, MOVEMENT_PAIR);
    if (!thing_require_unit(turn->ledger, vat, &row, fault))
        return false;
    turn_copy(movement.item, sizeof movement.item, row.item);
    turn_copy(movement.unit, sizeof movement.unit, vat);
    turn_copy(movement.other, sizeof movement.other, tray);
    turn_copy(movement.word, sizeof movement.word, word);
    return turn_book(turn, &movement, fault);
}

/* Whatever either was paired with is parted first. `tray` may be new, then its row begins. */
static bool book_together(struct turn *turn, const struct unit *vat, const char *tray, struct fault *fault)
{
    struct unit row;
    bool found;
    if (!unit_load(turn->ledger, tray, &row, &found, fault))
        return false;
    if (found && row.pair[0] != '\0' && !pair_book(turn, row.pair, tray, "apart", fault))
        return false;
    if (vat->pair[0] != '\0' && !pair_book(turn, vat->serial, vat->pair, "apart", fault))
        return false;
    return pair_book(turn, vat->serial, tray, "", fault);
}

/* ---- at the counter ---- */

/* The vat in hand, when the tray cannot be a second one: NULL where another vat may well come next. */
static const struct counter_unit *vat_in_hand(const struct counter *counter, const char *of_tray)
{
    const struct counter_unit *vat = NULL;
    if (counter->step == STEP_POUR || counter->step == STEP_RETIRE || counter->step == STEP_LABEL_LOST ||
        counter->step == STEP_TAKE_ON)
        return NULL; /* the second thing scanned is another vat: what the resin goes into */
    for (size_t i = 0; i < counter->unit_count; i++) {
        if (counter->units[i].serial[0] != 'V')
            continue;
        if (strcmp(counter->units[i].serial, of_tray) == 0)
            return NULL;
        vat = &counter->units[i];
    }
    return vat;
}

static void ask(struct turn *turn, const struct unit *tray, const struct counter_unit *hand)
{
    counter_object(&turn->counter, REASON_OTHER_TRAY, tray->serial,
                   "%s belongs in case %s, not in %s: which is in your hand?", tray->serial, tray->pair, hand->serial);
}

bool pair_scanned(struct turn *turn, const struct unit *tray, char vat[SERIAL_SIZE], struct fault *fault)
{
    struct counter *counter = &turn->counter;
    vat[0] = counter->tray[0] = '\0';
    if (!labels_prove_other(turn, tray->serial, "", fault))
        return false;
    if (tray->pair[0] == '\0') {
        counter_object(counter, REASON_UNKNOWN, tray->serial, "%s is the label of a tray that no case has.",
                       tray->serial);
        return true;
    }
    const struct counter_unit *hand = vat_in_hand(counter, tray->pair);
    if (!hand) {
        turn_copy(vat, SERIAL_SIZE, tray->pair);
        return true;
    }
    turn_copy(counter->tray, sizeof counter->tray, tray->serial);
    ask(turn, tray, hand);
    return true;
}

bool pair_is_asked(const struct counter *counter)
{
    return counter->tray[0] != '\0';
}

/* The tray that was asked about, and the vat in hand; NULL when somebody else was quicker. */
static const struct counter_unit *load_asked(struct turn *turn, struct unit *tray, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!thing_require_unit(turn->ledger, counter->tray, tray, fault))
        return NULL;
    const struct counter_unit *hand = tray->pair[0] != '\0' ? vat_in_hand(counter, tray->pair) : NULL;
    if (!hand) {
        counter->tray[0] = '\0';
        counter_note(counter, "Scan it again: where that tray belongs has changed.");
    }
    return hand;
}

bool pair_ask(struct turn *turn, struct fault *fault)
{
    struct unit tray = {.serial = ""};
    const struct counter_unit *hand = load_asked(turn, &tray, fault);
    if (hand)
        ask(turn, &tray, hand);
    return hand || tray.serial[0] != '\0';
}

void pair_say_case(struct turn *turn, const char *tray, const char *vat)
{
    struct counter *counter = &turn->counter;
    char title[COUNTER_TITLE_SIZE];
    struct builder out;
    if (counter->step != STEP_CHECK_OUT && counter->step != STEP_CHECK_IN)
        return;
    builder_init(&out, title, sizeof title);
    builder_addf(&out, "%s is the tray of %s: while it is closed, scan the case. %s", tray, vat, counter->title);
    text_end_whole(title);
    turn_copy(counter->title, sizeof counter->title, title);
}

static bool tell_storekeeper(struct turn *turn, const char *tray, const char *from, const char *to, struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(&out,
                 "Tray %s was found in case %s; by the books it was in %s. Resin, hours and film are still booked "
                 "on the case: look whether they moved with the tray.",
                 tray, to, from);
    return turn_question(turn, "tray-moved", to, note, fault);
}

/* The tray is in the case in hand now. */
static bool move_tray(struct turn *turn, const struct unit *tray, const char *hand, struct fault *fault)
{
    struct unit vat;
    return thing_require_unit(turn->ledger, hand, &vat, fault) && book_together(turn, &vat, tray->serial, fault) &&
           tell_storekeeper(turn, tray->serial, tray->pair, hand, fault);
}

bool pair_card(struct turn *turn, const char *card, bool *mine, char vat[SERIAL_SIZE], struct fault *fault)
{
    const bool moved = strcmp(card, "TRAY-MOVED") == 0;
    struct unit tray = {.serial = ""};
    char serial[SERIAL_SIZE];
    vat[0] = '\0';
    *mine = pair_is_asked(&turn->counter) && (moved || strcmp(card, "TRAY-STAYS") == 0);
    if (!*mine)
        return true;
    const struct counter_unit *hand = load_asked(turn, &tray, fault);
    if (!hand)
        return tray.serial[0] != '\0';
    turn_copy(serial, sizeof serial, hand->serial);
    if (moved && !turn_has_person(turn, "pair", "to say that the tray moved, then TRAY-MOVED again"))
        return true;
    if (moved && !move_tray(turn, &tray, serial, fault))
        return false;
    turn_copy(vat, SERIAL_SIZE, moved ? serial : tray.pair);
    counter_clear_group(&turn->counter);
    return true;
}

/* ---- by the page or a script ---- */

static bool load_vat(struct turn *turn, const char *serial, struct unit *vat, struct fault *fault)
{
    if (!thing_require_unit(turn->ledger, serial, vat, fault))
        return false;
    if (serial[0] != 'V')
        return fault_set(fault, FAULT_INPUT, "%s is no vat in a case: only that has a second label", serial);
    return vat->status == UNIT_IN || vat->status == UNIT_OUT ||
           fault_set(fault, FAULT_REFUSED, "%s is no longer in service (%s)", serial, unit_status_word(vat->status));
}

/* A tray's label that is here already, with a vat or without one. */
static bool load_tray(struct turn *turn, const char *serial, struct unit *tray, struct fault *fault)
{
    return thing_require_unit(turn->ledger, serial, tray, fault) &&
           (tray->status == UNIT_TRAY ||
            fault_set(fault, FAULT_INPUT, "%s is not the label of a tray in a case: scan the tray", serial));
}

/* Without a tray's label one is ordered. */
static bool pair_new(struct turn *turn, const struct unit *vat, char tray[SERIAL_SIZE], struct fault *fault)
{
    return ledger_next_serial(turn->ledger, 'T', tray, fault) && book_together(turn, vat, tray, fault) &&
           labels_order(turn, tray, fault);
}

/* One that is here already. */
static bool pair_again(struct turn *turn, const struct unit *vat, const struct unit *tray, struct fault *fault)
{
    return book_together(turn, vat, tray->serial, fault) &&
           (tray->pair[0] == '\0' || tell_storekeeper(turn, tray->serial, tray->pair, vat->serial, fault));
}

bool pair_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "tray", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct unit vat, row = {.pair = ""};
    char serial[SERIAL_SIZE], tray[SERIAL_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_code(content, "tray", CONTENT_OPTIONAL, tray, sizeof tray, fault) ||
        !load_vat(&turn, serial, &vat, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who pairs them");
    const bool fresh = tray[0] == '\0';
    if (!fresh && !load_tray(&turn, tray, &row, fault))
        return false;
    if (!fresh && strcmp(row.pair, serial) == 0)
        return fault_set(fault, FAULT_REFUSED, "%s and %s are a pair already", serial, tray);
    if (fresh ? !pair_new(&turn, &vat, tray, fault) : !pair_again(&turn, &vat, &row, fault))
        return false;
    if (fresh)
        counter_say(&turn.counter, "Booked: %s is the label of the tray in %s. It is printed: stick it on and scan it.",
                    tray, serial);
    else
        counter_say(&turn.counter, "Booked: tray %s is in case %s.", tray, serial);
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", json_string(tray));
    return true;
}
