#include "kiosk/desk/keys.h"

#include <string.h>

#include "kiosk/desk/job_need.h"
#include "kiosk/desk/pair.h"
#include "kiosk/desk/receive.h"
#include "kiosk/desk/take_on_scan.h"

static const struct {
    const char *card, *condition, *label;
} films[] = {
    {"FILM-CLEAR", "clear", "Film is clear"},         {"FILM-FOGGED", "fogged", "Film is fogged"},
    {"FILM-DENTED", "dented", "Film has a dent"},     {"FILM-BITS", "bits", "Cured bits on the film"},
    {"FILM-LEAKING", "leaking", "Film or vat leaks"},
};

const char *keys_film(const char *card)
{
    for (size_t i = 0; i < sizeof films / sizeof *films; i++)
        if (strcmp(films[i].card, card) == 0)
            return films[i].condition;
    return "";
}

static void add(json_t *keys, const char *word, const char *label)
{
    json_array_append_new(keys, json_pack("{s:s,s:s}", "word", word, "label", label));
}

/* YES, and the quantity that the page shows goes with it. */
static void add_quantity(json_t *keys, const char *label)
{
    json_array_append_new(keys, json_pack("{s:s,s:s,s:b}", "word", "YES", "label", label, "quantity", 1));
}

static bool film_is_asked(const struct counter *counter)
{
    for (size_t i = 0; i < counter->unit_count; i++) {
        const struct counter_unit *unit = &counter->units[i];
        if (unit->serial[0] == 'V' && unit->film[0] == '\0' && !unit->unknown)
            return true;
    }
    return false;
}

static bool no_delivery(const struct counter *counter)
{
    return counter->verdict.count > 0 && counter->verdict.reasons[0].code == REASON_NO_DELIVERY;
}

/* What may be overruled, by whom: the table of reasons says it. */
static void add_overrule(json_t *keys, const struct counter *counter, bool stop)
{
    if (stop && verdict_may_be_overruled(&counter->verdict))
        add(keys, "OVERRULE", "Storekeeper overrules");
}

static void add_receipt(json_t *keys, const struct counter *counter, bool stop)
{
    switch (counter->carton.asks) {
    case CARTON_ASKS_INNER:
        add(keys, "YES", "Yes, part of the carton");
        add(keys, "OTHER", "No, one beside it");
        return;
    case CARTON_ASKS_TOO_MANY:
        add(keys, "YES", "Yes, one more");
        add(keys, "OTHER", "No, leave it out");
        return;
    case CARTON_ASKS_OTHER:
        add(keys, "YES", "Back to the proposal");
        add(keys, "OTHER", "Another pack: begin with it");
        return;
    default:
        if (stop || counter->carton.asks == CARTON_ASKS_LOOK)
            add(keys, "YES", "Back to the proposal");
        else if (receive_names_item(&counter->receipt))
            add_quantity(keys, "Yes, receive");
    }
}

static void add_amounts(json_t *keys)
{
    add(keys, "100ML", "100 ml");
    add(keys, "250ML", "250 ml");
    add(keys, "500ML", "500 ml");
    add(keys, "1000ML", "1000 ml");
    add(keys, "UNKNOWN", "Nobody knows");
}

static bool has_resin_letter(const char *serial)
{
    return strchr("VTCR", serial[0]) != NULL;
}

/* Who has scanned one or two containers may mean to pour, who has scanned a vat or bottle, that it was cleaned; what is
 * stopped may be worn out. With the printer said, it goes there: few keys then. */
static void add_pour_and_clean(json_t *keys, const struct counter *counter, bool stop)
{
    if (counter->unit_count == 0 || counter->unit_count > 2 || counter->place[0] != '\0')
        return;
    const char *first = counter->units[0].serial, *last = counter->units[counter->unit_count - 1].serial;
    if (!stop && has_resin_letter(first) && has_resin_letter(last))
        add(keys, "POUR", counter->unit_count == 1 ? "Pour out of it" : "Pour the first into the second");
    if (!stop && counter->unit_count == 1 && strchr("VTR", first[0]))
        add(keys, "CLEAN", "It was cleaned");
    if (strchr("VTP", first[0]))
        add(keys, "RETIRE", counter->unit_count == 1 ? "Retire it" : "Retire the first");
}

/* Of what comes back from another room: its light hours, where it has any, or that it stays there. */
static void add_lent(json_t *keys, const struct counter *counter)
{
    bool lent = false, light = false;
    for (size_t i = 0; i < counter->unit_count; i++) {
        lent = lent || counter->units[i].lent;
        light = light || (counter->units[i].lent && strchr("VTP", counter->units[i].serial[0]));
    }
    if (light)
        add(keys, "0H", "Not used there");
    if (lent)
        add(keys, "7D", "Stays 7 days from today");
}

static void add_days(json_t *keys)
{
    add(keys, "1D", "1 day");
    add(keys, "3D", "3 days");
    add(keys, "7D", "7 days");
    add(keys, "14D", "14 days");
}

static void add_lend(json_t *keys, const struct counter *counter, bool stop, bool ask)
{
    if (ask && counter->due_said && counter->verdict.count > 0)
        add(keys, "YES", "Yes, I looked: lend it");
    if (stop) {
        add(keys, "TAKEN", "It is already there");
        add_overrule(keys, counter, stop);
    }
    if (!counter->due_said) {
        add_days(keys);
        add(keys, "UNKNOWN", "Nobody knows");
    }
    add(keys, "NO", "No, start over");
}

static void add_pour(json_t *keys, const struct counter *counter, bool stop, bool ask)
{
    const struct counter_unit *from = &counter->units[0];
    const bool said = from->all || from->unknown || from->amount_ul != MOVEMENT_NULL;
    if (counter->unit_count == 2 && said && ask && counter->verdict.count > 0)
        add(keys, "YES", "Yes, it is so");
    if (counter->unit_count == 2 && !stop) {
        add_amounts(keys);
        add(keys, "ALL", "All of it");
    }
    if (counter->unit_count == 2 && stop) {
        add(keys, "TAKEN", "It is already poured");
        add_overrule(keys, counter, stop);
    }
    add(keys, "NO", "No, start over");
}

static void add_take_on(json_t *keys, const struct counter *counter)
{
    const bool film = take_on_has_film(counter);
    if (take_on_is_ready(counter))
        add(keys, "YES", "Yes, it stands here");
    if (take_on_has_amount(counter) && counter->bare.amount_ul == MOVEMENT_NULL) {
        add(keys, "250ML", "250 ml");
        add(keys, "500ML", "500 ml");
        add(keys, "1000ML", "1000 ml");
    }
    if (take_on_has_hours(counter))
        add(keys, "UNKNOWN", "Nobody knows its hours");
    for (size_t i = 0; film && i < sizeof films / sizeof *films; i++)
        add(keys, films[i].card, films[i].label);
    add(keys, "NO", counter->bare.item[0] != '\0' ? "No, start over" : "No more here");
}

static bool can_be_inspected(const struct counter *counter)
{
    return counter->unit_count == 1 && strchr("VTP", counter->units[0].serial[0]);
}

static void add_inspection(json_t *keys, const struct counter *counter)
{
    if (counter->units[0].serial[0] == 'P') {
        add(keys, "SURFACE-FINE", "Surface is fine");
        add(keys, "SURFACE-SCRATCHED", "Surface is scratched");
        add(keys, "SURFACE-LOOSE", "Surface is loose");
        return;
    }
    for (size_t i = 0; i < sizeof films / sizeof *films; i++)
        add(keys, films[i].card, films[i].label);
    if (!counter->units[0].mixer_missing)
        add(keys, "MIXER-MISSING", "Mixer is missing");
    if (!counter->units[0].float_stuck)
        add(keys, "FLOAT-STUCK", "Level float is stuck");
}

/* Hours add up, as cards do. */
static void add_life(json_t *keys, const struct counter *counter)
{
    const bool said = counter->unit_count == 1 && counter->units[0].minutes != MOVEMENT_NULL;
    if (said)
        add(keys, "YES", "Yes, it shows that");
    add(keys, "100H", "100 h more");
    add(keys, "10H", "10 h more");
    add(keys, "1H", "1 h more");
    add(keys, "0H", said ? "Begin anew at 0 h" : "0 h");
    add(keys, "NO", "No, start over");
}

static bool says(const struct counter *counter, enum reason_code code)
{
    for (size_t i = 0; i < counter->verdict.count; i++)
        if (counter->verdict.reasons[i].code == code)
            return true;
    return false;
}

/* Before a printer is said it may be kept instead; what is kept for another may be freed. */
static void add_keep(json_t *keys, const struct counter *counter)
{
    if (says(counter, REASON_RESERVED))
        add(keys, "FREE", "Free it");
    else if (counter->place[0] == '\0')
        add(keys, "KEEP", "Keep it for me");
}

/* What is asked of a thing that goes out may be done there and then. */
static void add_care(json_t *keys, const struct counter *counter)
{
    if (can_be_inspected(counter) && (says(counter, REASON_NOT_INSPECTED) || says(counter, REASON_INSPECTION_DUE)))
        add(keys, "INSPECTED", "It was inspected");
    if (says(counter, REASON_STIR_DUE))
        add(keys, "STIRRED", "It was stirred");
    if (says(counter, REASON_SURFACE_WORN))
        add(keys, "NEW-SURFACE", "It has a new surface");
}

json_t *keys_of(const struct counter *counter)
{
    json_t *keys = json_array();
    const bool stop = counter->spoken && counter->verdict.verdict == VERDICT_STOP;
    const bool ask = counter->spoken && counter->verdict.verdict == VERDICT_ASK;
    if (counter->undo_asked[0] != '\0') {
        add(keys, "YES", "Yes, take it back");
        add(keys, "NO", "No, leave it");
        return keys;
    }
    if (pair_is_asked(counter)) {
        add(keys, "TRAY-MOVED", "The tray is in this case now");
        add(keys, "TRAY-STAYS", "It is the tray's own case");
        add(keys, "NO", "No, start over");
        return keys;
    }
    switch (counter->step) {
    case STEP_CHECK_OUT:
        if (counter->unit_count > 0 && counter->place[0] != '\0' && job_need_is_asked(counter))
            add_amounts(keys);
        if (ask && counter->place[0] != '\0' && counter->unit_count > 0 && !no_delivery(counter) &&
            (counter->verdict.count > 0 || counter->person[0] != '\0'))
            add(keys, "YES", "Yes, I looked: take it");
        add_care(keys, counter);
        if (stop && counter->unit_count > 0)
            add(keys, "TAKEN", "It is already taken");
        if (counter->unit_count > 0)
            add_overrule(keys, counter, stop);
        add(keys, "NO", "No, start over");
        if (counter->unit_count > 0) {
            add(keys, "HOLD", "Put on hold");
            add_keep(keys, counter);
        }
        add_pour_and_clean(keys, counter, stop);
        break;
    case STEP_CHECK_IN:
        if (ask && counter->verdict.count > 0)
            add(keys, "YES", "Yes, it is so");
        if (film_is_asked(counter))
            for (size_t i = 0; i < sizeof films / sizeof *films; i++)
                add(keys, films[i].card, films[i].label);
        add(keys, "UNKNOWN", "Nobody knows");
        add_lent(keys, counter);
        if (can_be_inspected(counter)) {
            add(keys, "INSPECTED", "Inspected, and stays there");
            add(keys, "LIFE-SHOWN", "Life its printer shows");
        }
        if (counter->unit_count == 1 && counter->units[0].serial[0] == 'C') {
            add(keys, "OUTLET-STUCK", "Its outlet does not open");
            add(keys, "OUTLET-LEAKS", "Its outlet leaks");
        }
        add_pour_and_clean(keys, counter, stop);
        add(keys, "NO", "No, start over");
        break;
    case STEP_POUR:
        add_pour(keys, counter, stop, ask);
        break;
    case STEP_KEEP:
        if (says(counter, REASON_RESERVED)) {
            add(keys, "FREE", "Free it");
        } else {
            add_days(keys);
            add(keys, "UNKNOWN", "Until it is freed");
        }
        add(keys, "NO", "No, start over");
        break;
    case STEP_LEND:
        add_lend(keys, counter, stop, ask);
        break;
    case STEP_RETIRE:
        if (ask)
            add(keys, "YES", "Yes, retire it");
        add_overrule(keys, counter, stop);
        add(keys, "NO", "No, start over");
        break;
    case STEP_INSPECT:
        add_inspection(keys, counter);
        add(keys, "NO", "No, start over");
        break;
    case STEP_LIFE:
        add_life(keys, counter);
        break;
    case STEP_CLEAN:
        add(keys, "YES", "Yes, it is clean now");
        add(keys, "NO", "No, start over");
        break;
    case STEP_LABEL_LOST:
        if (!stop && counter->bare.proposed[0] != '\0')
            add(keys, "YES", "Yes, a new label");
        else if (!stop && counter->bare.item[0] != '\0' && counter->bare.place[0] != '\0')
            add(keys, "TAKE-ON", "Never booked: take it on");
        add(keys, "NO", "No, leave it");
        break;
    case STEP_TAKE_ON:
        add_take_on(keys, counter);
        break;
    case STEP_RECEIPT:
        add_receipt(keys, counter, stop);
        add(keys, "NO", "No");
        break;
    case STEP_PROOF:
        if (counter->receipt.quantity > 0 && !stop)
            add_quantity(keys, "Receive more of this lot");
        add(keys, "NO", "Done with this");
        if (counter->unit_count > 0)
            add(keys, "HOLD", "Put on hold");
        break;
    case STEP_IDLE:
        if (no_delivery(counter) || (counter->receipt.quantity > 0 && counter->delivery[0] == '\0'))
            add(keys, "DELIVERY", "Open a delivery");
        break;
    case STEP_PUT_AWAY:
    case STEPS:
        break;
    }
    if (counter->person[0] != '\0')
        add(keys, "DONE", "I am done");
    return keys;
}
