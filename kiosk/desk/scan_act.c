#include "kiosk/desk/scan_act.h"

#include <string.h>

#include "kiosk/desk/alarm.h"
#include "kiosk/desk/check_in.h"
#include "kiosk/desk/check_out.h"
#include "kiosk/desk/clean.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/delivery.h"
#include "kiosk/desk/inspect.h"
#include "kiosk/desk/item_scan.h"
#include "kiosk/desk/keep.h"
#include "kiosk/desk/label_lost.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/lend.h"
#include "kiosk/desk/life_shown.h"
#include "kiosk/desk/pair.h"
#include "kiosk/desk/pour.h"
#include "kiosk/desk/put_away.h"
#include "kiosk/desk/receive.h"
#include "kiosk/desk/retire.h"
#include "kiosk/desk/scan_parts.h"
#include "kiosk/desk/sticker_scan.h"
#include "kiosk/desk/take_on_scan.h"
#include "kiosk/desk/ticket.h"
#include "kiosk/ledger/catalogue.h"
#include "labels/content/scan.h"
#include "labels/content/supplier_label.h"
#include "labels/content/symbology.h"

/* Somebody is there now: what was waiting for that goes on, and a verdict stays in sight. */
static bool go_on(struct turn *turn, const char *name, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    char place[PLACE_SIZE];
    turn_copy(place, sizeof place, counter->place);
    if (pair_is_asked(counter))
        return pair_ask(turn, fault);
    switch (counter->step) {
    case STEP_CHECK_OUT:
        return check_out_show(turn, fault);
    case STEP_CHECK_IN:
        if (place[0] != '\0')
            return check_in_close(turn, place, fault);
        check_in_say_next(turn);
        return true;
    case STEP_RECEIPT:
        return receive_show(turn, fault);
    case STEP_POUR:
        return pour_show(turn, fault);
    case STEP_RETIRE:
        return retire_begin(turn, fault);
    case STEP_CLEAN:
        return clean_begin(turn, fault);
    case STEP_INSPECT:
        return inspect_show(turn, fault);
    case STEP_LEND:
        return lend_show(turn, fault);
    case STEP_LABEL_LOST:
        return label_lost_show(turn, fault);
    case STEP_TAKE_ON:
        return take_on_show(turn, fault);
    case STEP_KEEP:
        return keep_show(turn, fault);
    case STEP_LIFE:
        return life_shown_show(turn, fault);
    case STEP_IDLE:
        counter_note(counter, "%s is here: scan what you take or bring.", name);
        return true;
    default:
        counter_note(counter, "%s is here: go on scanning.", name);
        return true;
    }
}

static bool person_scanned(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct person person;
    bool found;
    if (!person_load(turn->ledger, serial, &person, &found, fault))
        return false;
    if (!found) {
        counter_object(counter, REASON_UNKNOWN, serial, "Badge %s is not known here.", serial);
        return true;
    }
    if (strcmp(person.role, "left") == 0) {
        counter_object(counter, REASON_UNKNOWN, serial, "Badge %s counts no more: its owner has left.", serial);
        return true;
    }
    /* an auditor proves nothing: the label of that badge is proved by whoever hands it over, signed in before */
    const bool proves = strcmp(person.role, "auditor") != 0;
    if (proves)
        turn_sign_in(turn, &person);
    if ((proves || turn->person[0] != '\0') && !labels_prove_other(turn, serial, "", fault))
        return false;
    turn_sign_in(turn, &person);
    const char *name = person.name[0] ? person.name : person.serial;
    return go_on(turn, name, fault);
}

/* A thing whose label is proved joins what the counter is in the middle of, or begins something. */
static bool thing_scanned(struct turn *turn, const struct unit *unit, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const char *serial = unit->serial;
    if (pair_is_asked(counter))
        return pair_ask(turn, fault);
    if (counter->step == STEP_LABEL_LOST)
        return label_lost_seen(turn, unit, fault);
    if (counter->step == STEP_TAKE_ON)
        return take_on_unit(turn, unit, fault);
    if (counter->step == STEP_POUR)
        return pour_add(turn, serial, fault);
    if (counter->step == STEP_RETIRE)
        return retire_add(turn, serial, fault);
    if (counter->step == STEP_CLEAN && serial[0] == 'W')
        return clean_add(turn, serial, fault);
    if (counter->step == STEP_LEND)
        return lend_add(turn, serial, fault);
    if (counter->step == STEP_KEEP)
        return keep_add(turn, serial, fault);
    if (counter->step == STEP_CHECK_OUT)
        return check_out_add(turn, serial, fault);
    if (unit->status == UNIT_OUT) {
        if (counter->step != STEP_CHECK_IN)
            counter_clear_group(counter);
        return check_in_add(turn, serial, fault);
    }
    if (counter->step == STEP_PROOF && strcmp(unit->delivery, counter->delivery) == 0 && unit->place[0] == '\0') {
        if (!counter_find(counter, serial))
            (void)counter_add(counter, serial); /* proved before, still to be put away */
        counter_say(counter, "%s is proved: scan the shelf it goes to.", serial);
        return true;
    }
    if (counter->step == STEP_CHECK_IN &&
        counter->unit_count > 0) { /* what was said of it is not thrown away by a scan */
        counter_ask(counter, "%s stands in storage. Finish what comes back first: scan the shelf, or the card NO.",
                    serial);
        return true;
    }
    counter_clear_group(counter);
    return check_out_add(turn, serial, fault);
}

static bool is_gone(struct turn *turn, const struct unit *unit)
{
    if (unit->status == UNIT_IN || unit->status == UNIT_OUT)
        return false;
    counter_object(&turn->counter, REASON_GONE, unit->serial, "%s is no longer in service (%s)%s%s.", unit->serial,
                   unit_status_word(unit->status), unit->heir[0] ? "; its resin went into " : "", unit->heir);
    return true;
}

/* The vat that a tray's label leads to goes on as if its case had been scanned. */
static bool vat_of_tray(struct turn *turn, const char *tray, const char *serial, struct fault *fault)
{
    struct unit vat;
    bool found;
    const bool known = counter_find(&turn->counter, serial) != NULL;
    if (!unit_load(turn->ledger, serial, &vat, &found, fault))
        return false;
    if (!found || is_gone(turn, &vat))
        return true;
    if (!vat.labelled) {
        counter_note(&turn->counter, "%s is the tray of %s, whose label was not scanned back yet: scan the case.", tray,
                     serial);
        return true;
    }
    if (known && turn->counter.step != STEP_PROOF && turn->counter.step != STEP_LABEL_LOST &&
        turn->counter.step != STEP_TAKE_ON) /* both labels of one vat */
        return go_on(turn, "", fault);
    if (!thing_scanned(turn, &vat, fault))
        return false;
    pair_say_case(turn, tray, serial);
    return true;
}

static bool tray_scanned(struct turn *turn, const struct unit *tray, struct fault *fault)
{
    char vat[SERIAL_SIZE];
    return pair_scanned(turn, tray, vat, fault) && (vat[0] == '\0' || vat_of_tray(turn, tray->serial, vat, fault));
}

bool scan_tray_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    char vat[SERIAL_SIZE];
    struct unit unit;
    bool found;
    if (!pair_card(turn, card, mine, vat, fault))
        return false;
    if (!*mine || vat[0] == '\0')
        return true;
    return unit_load(turn->ledger, vat, &unit, &found, fault) &&
           (!found || is_gone(turn, &unit) || thing_scanned(turn, &unit, fault));
}

static bool unit_scanned(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct unit unit;
    bool found;
    if (serial_is_demo(serial) != ledger_is_demo(turn->ledger)) {
        counter_object(counter, REASON_NOT_OURS, serial,
                       ledger_is_demo(turn->ledger) ? "%s is a real label, and this is the demo."
                                                    : "%s is a label of the demo, not of this room.",
                       serial);
        return true;
    }
    if (!unit_load(turn->ledger, serial, &unit, &found, fault))
        return false;
    if (!found) {
        counter_object(counter, REASON_UNKNOWN, serial, "%s is one of our labels, but no such unit is in the ledger.",
                       serial);
        return true;
    }
    if (unit.status == UNIT_TRAY)
        return tray_scanned(turn, &unit, fault);
    if (unit.status == UNIT_RELABELLED)
        return alarm_scanned(turn, &unit, fault);
    if (is_gone(turn, &unit))
        return true;
    if (counter->step == STEP_LABEL_LOST)
        return label_lost_seen(turn, &unit, fault);
    if (counter->step == STEP_TAKE_ON)
        return take_on_unit(turn, &unit, fault);
    if (!unit.labelled && unit.status == UNIT_IN)
        return labels_prove(turn, &unit, fault);
    if (!labels_prove_other(turn, serial, "", fault)) /* a reprint that came out is proved on the way */
        return false;
    return thing_scanned(turn, &unit, fault);
}

static bool shelf_scanned(struct turn *turn, const struct place *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->step == STEP_LABEL_LOST)
        return label_lost_place(turn, place->code, false, fault);
    if (counter->step == STEP_TAKE_ON)
        return take_on_place(turn, place, fault);
    if (strcmp(place->kind, "room") == 0)
        return lend_room_scanned(turn, place, fault);
    if (counter->step == STEP_LEND) {
        counter_ask(counter, "%s is a shelf, and this is lent to %s: say by when, or scan the card NO.", place->code,
                    counter->place);
        return true;
    }
    if (counter->step == STEP_KEEP) {
        counter_ask(counter, "%s is a shelf: say until when this is kept, or scan the card NO.", place->code);
        return true;
    }
    if (counter->step == STEP_CHECK_IN)
        return check_in_close(turn, place->code, fault);
    if ((counter->step == STEP_CHECK_OUT || counter->step == STEP_PROOF) && counter->unit_count > 0)
        return put_away_group(turn, place->code, fault);
    int64_t units = 0;
    if (!unit_count_in_place(turn->ledger, place->code, &units, fault))
        return false;
    if (counter->step == STEP_IDLE) /* an item's card that comes next takes on there */
        turn_copy(counter->bare.place, sizeof counter->bare.place, place->code);
    counter_note(counter, "%s%s%s: %s%lld unit%s.", place->code, place->name[0] ? ", " : "", place->name,
                 units == UNIT_IN_PLACE_MOST ? "at least " : "", (long long)units,
                 units == 1 ? " stands here" : "s stand here");
    return true;
}

static bool machine_scanned(struct turn *turn, const char *code, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->step == STEP_LABEL_LOST)
        return label_lost_place(turn, code, true, fault);
    if (counter->step == STEP_TAKE_ON) {
        counter_ask(counter, "%s is a printer: take the thing on at a shelf, then check it out. Scan the shelf.", code);
        return true;
    }
    if (counter->step == STEP_CHECK_OUT && counter->unit_count > 0)
        return check_out_close(turn, code, fault);
    if (counter->step == STEP_KEEP)
        return keep_machine(turn, code, fault);
    if (counter->step == STEP_CHECK_IN) {
        counter_object(counter, REASON_UNREADABLE, code,
                       "%s is a printer: what comes back goes to a shelf. Scan the shelf.", code);
        return true;
    }
    if (counter->step != STEP_IDLE && counter->step != STEP_CHECK_OUT) {
        counter_ask(counter, "%s: finish what you are at first, or scan the card NO.", code);
        return true;
    }
    counter->step = STEP_CHECK_OUT; /* the printer first, then what goes into it: as good an order as any */
    return check_out_close(turn, code, fault);
}

/* `*found` false: no shelf and no printer has this code. */
static bool place_scanned(struct turn *turn, const char *code, bool *found, struct fault *fault)
{
    struct place place;
    struct machine machine;
    if (!place_load(turn->ledger, code, &place, found, fault))
        return false;
    if (*found) {
        if (!labels_prove_other(turn, "", code, fault))
            return false;
        if (pair_is_asked(&turn->counter))
            return pair_ask(turn, fault);
        return strcmp(place.kind, "slot") == 0 ? machine_scanned(turn, place.printer, fault)
                                               : shelf_scanned(turn, &place, fault);
    }
    if (strlen(code) >= sizeof machine.code)
        return true;
    if (!machine_load(turn->ledger, code, &machine, found, fault))
        return false;
    if (*found && pair_is_asked(&turn->counter))
        return pair_ask(turn, fault);
    return !*found || machine_scanned(turn, machine.code, fault);
}

/* A supplier's sticker of plain text, if the shop taught its pattern. */
static bool sticker_scanned(struct turn *turn, struct span text, bool *taken, struct fault *why, struct fault *fault)
{
    enum sticker_reading reading;
    struct supplier_code code = {.code.source = "sticker"};
    if (!sticker_scan(turn, text, &reading, &code.code.label, why, fault))
        return false;
    *taken = reading == STICKER_READ || reading == STICKER_TWO_WAYS;
    if (reading == STICKER_READ) {
        supplier_label_finish(&code.code.label, code.warning);
        return scan_supplier(turn, &code, 1, fault);
    }
    if (reading == STICKER_TWO_WAYS) {
        counter_object(&turn->counter, REASON_TWO_READINGS, "", "%s", why->text);
        turn->counter.carton.asks = CARTON_ASKS_LOOK; /* YES does not receive what was proposed before */
    }
    return true;
}

/* Text that is no label: perhaps the code of a place or of a planned job, typed, or a supplier's sticker. */
static bool other_scanned(struct turn *turn, struct span bytes, struct fault *fault)
{
    struct fault why = {FAULT_NONE, ""};
    char code[PLACE_SIZE] = "", shown[48];
    bool found = false;
    if (span_copy(bytes, code, sizeof code) && code[0] != '\0') {
        for (char *at = code; *at != '\0'; at++)
            if (*at >= 'a' && *at <= 'z')
                *at = (char)(*at - 'a' + 'A');
        if (!place_scanned(turn, code, &found, fault) ||
            (!found && !pair_is_asked(&turn->counter) && !ticket_typed(turn, code, &found, fault)))
            return false;
    }
    if (!found && code[0] != '\0' && !item_scan_typed(turn, code, &found, fault))
        return false;
    if (!found && !sticker_scanned(turn, bytes, &found, &why, fault))
        return false;
    if (found)
        return true;
    counter_object(&turn->counter, REASON_NOT_OURS, "", "'%s' is not a label of this room.",
                   text_show(bytes, shown, sizeof shown));
    if (why.text[0])
        verdict_add(&turn->counter.verdict, REASON_NOT_OURS, "sticker", "The supplier's pattern does not read it: %s.",
                    why.text);
    return true;
}

static bool place_or_say(struct turn *turn, const char *code, struct fault *fault)
{
    bool found;
    if (!place_scanned(turn, code, &found, fault))
        return false;
    if (!found)
        counter_object(&turn->counter, REASON_UNKNOWN, code, "Place %s is not known here: enter it, or scan another.",
                       code);
    return true;
}

/* Cards, badges and tickets count from a scanner; a photograph may show anything that hangs on the wall. */
static bool counts_from(const char *source, enum scan_kind kind)
{
    return strcmp(source, "picture") != 0 ||
           (kind != SCAN_CARD && kind != SCAN_ITEM && kind != SCAN_PERSON && kind != SCAN_JOB);
}

static bool understand(struct turn *turn, const struct scan_bytes *code, const char *source, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct scan scan;
    struct supplier_code supplier;
    struct fault unreadable = {0};
    char asked[ACT_ID_SIZE], identifier[SCAN_SYMBOLOGY_SIZE];
    /* whatever is scanned but a card lets a question go */
    const enum carton_question carton_asked = counter->carton.asks;
    const struct span scanned = scan_text(code->bytes, code->symbology, identifier);
    turn_copy(asked, sizeof asked, counter->undo_asked);
    counter->undo_asked[0] = '\0';
    counter->carton.asks = CARTON_ASKS_NOTHING;
    if (!scan_read(code->bytes, code->symbology, turn->act->moment.local_day, &scan, &unreadable)) {
        counter_object(counter, REASON_UNREADABLE, "", "%s.", unreadable.text);
        return true;
    }
    if (!counts_from(source, scan.kind)) {
        counter_object(counter, REASON_UNREADABLE, "", "A %s in a photograph does not count: scan it with the scanner.",
                       scan.kind == SCAN_PERSON ? "badge"
                       : scan.kind == SCAN_JOB  ? "ticket"
                                                : "card");
        return true;
    }
    switch (scan.kind) {
    case SCAN_PERSON:
        return person_scanned(turn, scan.unit.serial, fault);
    case SCAN_UNIT:
        return unit_scanned(turn, scan.unit.serial, fault);
    case SCAN_PLACE:
        return place_or_say(turn, scan.place, fault);
    case SCAN_CARD:
        turn_copy(counter->undo_asked, sizeof counter->undo_asked, asked);
        counter->carton.asks = carton_asked;
        return press_card(turn, scan.card, MOVEMENT_NULL, fault);
    case SCAN_ITEM:
        return item_scan_card(turn, scan.item, fault);
    case SCAN_JOB:
        return pair_is_asked(counter) ? pair_ask(turn, fault) : ticket_scanned(turn, &scan.job, fault);
    case SCAN_SUPPLIER:
        scan_supplier_begin(&scan, identifier, &supplier);
        return scan_supplier(turn, &supplier, 1, fault);
    case SCAN_OTHER:
    case SCAN_KINDS:
        break;
    }
    return other_scanned(turn, scanned, fault);
}

bool scan_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"bytes", "text", "symbology", "source", "more", NULL};
    static const char *const sources[] = {"scanner", "typed", "picture", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct scan_bytes scanned;
    char source[16];
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_one_of(content, "source", CONTENT_OPTIONAL, sources, source, sizeof source, fault))
        return false;
    if (turn.counter.name[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'counter' is missing: say where this was scanned");
    return scan_bytes_read(content, &scanned, fault) &&
           (json_object_get(content, "more") ? scan_carton(&turn, content, &scanned, fault)
                                             : understand(&turn, &scanned, source, fault)) &&
           turn_answer(&turn, answer, fault);
}
