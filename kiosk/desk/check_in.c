#include "kiosk/desk/check_in.h"

#include <string.h>

#include "kiosk/desk/amount.h"
#include "kiosk/desk/card_number.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/keys.h"
#include "kiosk/desk/lend.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/catalogue.h"

enum { MS_A_MINUTE = 60000, HOURS_MAX = 100000, AMOUNT_ML_MAX = 1000000 };

static bool is_vat(const struct counter_unit *unit)
{
    return unit->serial[0] == 'V';
}

/* Which things have light hours (a cartridge has none), and which may hold resin. */
static bool has_hours(const struct counter_unit *unit)
{
    return strchr("VTP", unit->serial[0]) != NULL;
}

static bool has_content(const struct counter_unit *unit)
{
    return strchr("VTCR", unit->serial[0]) != NULL;
}

/* The last thing of the group that is such a thing, NULL when none is. */
static struct counter_unit *last_that(struct counter *counter, bool (*is)(const struct counter_unit *unit))
{
    for (size_t i = counter->unit_count; i-- > 0;)
        if (is(&counter->units[i]))
            return &counter->units[i];
    return NULL;
}

/* The thing whose amount is asked about just now. */
static struct counter_unit *amount_asked(struct counter *counter)
{
    for (size_t i = 0; i < counter->verdict.count; i++)
        if (counter->verdict.reasons[i].code == REASON_AMOUNT_UNLIKELY)
            return counter_find(counter, counter->verdict.reasons[i].subject);
    return NULL;
}

static struct counter_unit *film_missing(struct counter *counter)
{
    for (size_t i = 0; i < counter->unit_count; i++)
        if (is_vat(&counter->units[i]) && counter->units[i].film[0] == '\0' && !counter->units[i].unknown)
            return &counter->units[i];
    return NULL;
}

/* Of what another room had nobody here knows the light hours. */
static const struct counter_unit *hours_missing(const struct counter *counter)
{
    for (size_t i = 0; i < counter->unit_count; i++)
        if (counter->units[i].lent && has_hours(&counter->units[i]) && counter->units[i].minutes == MOVEMENT_NULL &&
            !counter->units[i].unknown)
            return &counter->units[i];
    return NULL;
}

bool check_in_comes_first(struct counter *counter)
{
    const struct counter_unit *unit = &counter->units[0];
    const bool said =
        counter->step == STEP_CHECK_IN && counter->unit_count == 1 &&
        (unit->film[0] != '\0' || unit->minutes != MOVEMENT_NULL || unit->amount_ul != MOVEMENT_NULL || unit->unknown);
    if (said)
        counter_ask(counter, "Finish bringing %s back first: what was said of it is not booked yet. Then the card.",
                    unit->serial);
    return said;
}

void check_in_say_next(struct turn *turn)
{
    struct counter *counter = &turn->counter;
    const struct counter_unit *vat = film_missing(counter);
    const struct counter_unit *hours = hours_missing(counter);
    const char *badge = turn->person[0] ? "" : "your badge, ";
    if (vat)
        counter_ask(counter, "%s is coming back: how is its film? Scan %sa film card, then the shelf.", vat->serial,
                    badge);
    else if (hours)
        counter_ask(
            counter,
            "%s comes back from another room: scan %sits light hours there, such as 3H, or 'nobody knows', then "
            "the shelf.",
            hours->serial, badge);
    else
        counter_say(counter, "%zu thing%s coming back: scan %sthe next one, or the shelf.", counter->unit_count,
                    counter->unit_count == 1 ? " is" : "s are", badge);
}

bool check_in_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct counter_unit *added = counter_find(counter, serial);
    struct unit unit;
    if (!thing_require_unit(turn->ledger, serial, &unit, fault))
        return false;
    counter->step = STEP_CHECK_IN;
    if (!added)
        added = counter_add(counter, serial);
    if (!added) {
        counter_object(counter, REASON_UNREADABLE, serial, "%d things are the most at once: scan the shelf first.",
                       COUNTER_UNITS);
        return true;
    }
    added->lent = lend_is_lent(&unit);
    check_in_say_next(turn);
    return true;
}

/* Minutes it was out, MOVEMENT_NULL when the clock could not be trusted then or can't be now. */
static bool minutes_out(struct turn *turn, const struct unit *unit, int64_t *minutes, struct fault *fault)
{
    const int64_t now = turn->act->moment.wall.ms;
    struct movement out;
    bool found = false;
    *minutes = MOVEMENT_NULL;
    if (lend_is_lent(unit)) /* what they did with it there no clock here can tell */
        return true;
    if (unit->out_since_ms == MOVEMENT_NULL || !turn->act->moment.trusted || now < unit->out_since_ms)
        return true;
    if (!ledger_last_of_unit(turn->ledger, unit->serial, MOVEMENT_CHECK_OUT, &out, &found, fault))
        return false;
    if (found && out.trusted)
        *minutes = (now - unit->out_since_ms + MS_A_MINUTE / 2) / MS_A_MINUTE;
    return true;
}

static bool film_needs_hold(const char *film)
{
    return strcmp(film, "dented") == 0 || strcmp(film, "bits") == 0 || strcmp(film, "leaking") == 0;
}

static bool hold_film(struct turn *turn, const struct counter_unit *said, struct fault *fault)
{
    struct movement hold;
    movement_init(&hold, MOVEMENT_HOLD);
    turn_copy(hold.unit, sizeof hold.unit, said->serial);
    struct builder word;
    builder_init(&word, hold.word, sizeof hold.word);
    builder_addf(&word, "film-%s", said->film);
    return turn_book(turn, &hold, fault);
}

static bool book_unit(struct turn *turn, const struct counter_unit *said, const struct unit *unit, const char *place,
                      struct fault *fault)
{
    struct movement in;
    movement_init(&in, MOVEMENT_CHECK_IN);
    turn_copy(in.unit, sizeof in.unit, said->serial);
    turn_copy(in.place, sizeof in.place, place);
    turn_copy(in.printer, sizeof in.printer, unit->printer);
    turn_copy(in.job, sizeof in.job, unit->job);
    turn_copy(in.word, sizeof in.word, said->film);
    in.amount_ul = said->amount_ul;
    in.minutes = said->minutes;
    const bool counts_hours = has_hours(said);
    if (counts_hours && in.minutes == MOVEMENT_NULL && !said->unknown && !said->minutes_unknown &&
        !minutes_out(turn, unit, &in.minutes, fault))
        return false;
    /* hours that nobody said and no clock can tell are unknown, not zero */
    const bool no_hours = counts_hours && in.minutes == MOVEMENT_NULL;
    const bool no_amount = (said->unknown || said->amount_unknown) && in.amount_ul == MOVEMENT_NULL;
    struct builder detail;
    builder_init(&detail, in.detail, sizeof in.detail);
    if (no_hours || no_amount)
        builder_addf(&detail, "{%s%s%s}", no_amount ? "\"amount_unknown\":1" : "", no_amount && no_hours ? "," : "",
                     no_hours ? "\"minutes_unknown\":1" : "");
    return turn_book(turn, &in, fault) && (!film_needs_hold(said->film) || hold_film(turn, said, fault));
}

static bool book(struct turn *turn, const char *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    char machines[COUNTER_UNITS][PRINTER_SIZE];
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        if (!thing_require_unit(turn->ledger, counter->units[i].serial, &unit, fault))
            return false;
        if (unit.status != UNIT_OUT)
            return fault_set(fault, FAULT_CONFLICT, "%s is not out, so it can't come back: scan it again", unit.serial);
        turn_copy(machines[i], sizeof machines[i], unit.printer);
        if (!book_unit(turn, &counter->units[i], &unit, place, fault))
            return false;
    }
    for (size_t i = 0; i < counter->unit_count; i++)
        if (!job_end_when_empty(turn, machines[i], fault))
            return false;
    return true;
}

static bool book_and_say(struct turn *turn, const char *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!book(turn, place, fault))
        return false;
    const size_t count = counter->unit_count;
    char first[SERIAL_SIZE];
    turn_copy(first, sizeof first, counter->units[0].serial);
    counter_clear_group(counter);
    if (count == 1)
        counter_say(counter, "Booked: %s is back, at %s.", first, place);
    else
        counter_say(counter, "Booked: %zu things are back, at %s.", count, place);
    return true;
}

static bool judge_amounts(struct turn *turn, struct verdict_list *list, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct thing thing;
        if (counter->units[i].amount_ul == MOVEMENT_NULL)
            continue;
        if (!thing_require(turn->ledger, counter->units[i].serial, &thing, fault))
            return false;
        amount_judge_said(&thing, counter->units[i].amount_ul, list);
    }
    return true;
}

static bool close_group(struct turn *turn, const char *place, struct fault *fault)
{
    if (!book_and_say(turn, place, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool check_in_close(struct turn *turn, const char *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    turn_copy(counter->place, sizeof counter->place, place);
    const struct counter_unit *vat = film_missing(counter);
    struct verdict_list list;
    if (vat) {
        counter_ask(counter, "How is the film of %s? Scan a film card, or 'nobody knows'.", vat->serial);
        return true;
    }
    if (!turn_has_person(turn, "check-in", "to bring this back"))
        return true;
    if (!judge_amounts(turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_GO)
        return close_group(turn, place, fault);
    counter_show(counter, &list);
    return true;
}

bool check_in_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list;
    char place[PLACE_SIZE];
    turn_copy(place, sizeof place, counter->place);
    if (!amount_asked(counter) || place[0] == '\0') {
        counter_note(counter, "Nothing is asked just now: scan something.");
        return true;
    }
    if (!judge_amounts(turn, &list, fault))
        return false;
    if (!verdict_covers(&counter->verdict, &list) || !turn_has_person(turn, "check-in", "to bring this back"))
        return check_in_close(turn, place, fault);
    return close_group(turn, place, fault);
}

/* What a card says, noted at the thing it can be about; `*noted` false when there is none. False: no card of a
 * check-in. */
static bool note_card(struct counter *counter, const char *card, bool *noted)
{
    struct counter_unit *vat = film_missing(counter), *asked = amount_asked(counter), *about;
    int64_t number;
    if (keys_film(card)[0] != '\0') {
        about = vat ? vat : last_that(counter, is_vat); /* a second look corrects the first */
        if (about) {
            turn_copy(about->film, sizeof about->film, keys_film(card));
            about->unknown = false;
        }
    } else if (strcmp(card, "UNKNOWN") == 0) {
        about = vat ? vat : asked ? asked : &counter->units[counter->unit_count - 1];
        about->unknown = true;
        if (about == asked)
            about->amount_ul = MOVEMENT_NULL;
    } else if (card_number_amount(card, &number)) {
        about = asked ? asked : last_that(counter, has_content);
        if (about)
            about->amount_ul = number;
    } else if (card_number_read(card, "H", HOURS_MAX, &number)) {
        about = last_that(counter, has_hours);
        if (about)
            about->minutes = number * 60;
    } else {
        return false;
    }
    *noted = about != NULL;
    return true;
}

bool check_in_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    bool noted = false;
    *mine = counter->step == STEP_CHECK_IN && counter->unit_count > 0 && note_card(counter, card, &noted);
    if (!*mine)
        return true;
    if (!noted) {
        counter_note(counter, "Nothing that is coming back has that: the card %s says nothing here.", card);
        return true;
    }
    if (counter->place[0] != '\0') {
        char place[PLACE_SIZE];
        turn_copy(place, sizeof place, counter->place);
        return check_in_close(turn, place, fault);
    }
    check_in_say_next(turn);
    return true;
}

static bool read_unit(struct turn *turn, const json_t *row, struct fault *fault)
{
    static const char *const keys[] = {"unit",           "film", "minutes", "amount_ml", "minutes_unknown",
                                       "amount_unknown", NULL};
    static const char *const films[] = {"clear", "fogged", "dented", "bits", "leaking", NULL};
    char serial[SERIAL_SIZE], film[WORD_SIZE];
    int64_t minutes, amount_ul;
    bool no_minutes, no_amount;
    if (!json_is_object(row))
        return fault_set(fault, FAULT_INPUT, "'units' holds something that is not an object with a key 'unit'");
    if (!content_only(row, keys, fault) || !content_code(row, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_one_of(row, "film", CONTENT_OPTIONAL, films, film, sizeof film, fault) ||
        !content_count(row, "minutes", CONTENT_OPTIONAL, 0, (int64_t)HOURS_MAX * 60, &minutes, fault) ||
        !content_amount(row, "amount_ml", AMOUNT_ML_MAX, 1000, &amount_ul, fault) ||
        !content_flag(row, "minutes_unknown", &no_minutes, fault) ||
        !content_flag(row, "amount_unknown", &no_amount, fault))
        return false;
    struct counter_unit *unit = counter_find(&turn->counter, serial) ? NULL : counter_add(&turn->counter, serial);
    if (!unit)
        return fault_set(fault, FAULT_INPUT, "unit '%s' stands in 'units' twice, or there are more than %d", serial,
                         COUNTER_UNITS);
    if ((film[0] != '\0' && !strchr("VT", serial[0])) || (minutes != MOVEMENT_NULL && !has_hours(unit)) ||
        (amount_ul != MOVEMENT_NULL && !has_content(unit)))
        return fault_set(fault, FAULT_INPUT, "%s has no %s: leave it out", serial,
                         film[0] != '\0' && !strchr("VT", serial[0])    ? "film"
                         : minutes != MOVEMENT_NULL && !has_hours(unit) ? "light hours"
                                                                        : "content");
    turn_copy(unit->film, sizeof unit->film, film);
    unit->minutes = minutes;
    unit->amount_ul = amount_ul;
    unit->minutes_unknown = no_minutes;
    unit->amount_unknown = no_amount;
    return true;
}

bool check_in_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"units", "place", "confirm", NULL};
    const json_t *content = context->act->content, *units = json_object_get(content, "units");
    struct turn turn;
    struct verdict_list list;
    char place[PLACE_SIZE];
    struct place shelf;
    bool found, confirm;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "place", CONTENT_REQUIRED, place, sizeof place, fault) ||
        !content_flag(content, "confirm", &confirm, fault) ||
        !place_load(context->ledger, place, &shelf, &found, fault))
        return false;
    if (!found || !place_keeps(&shelf))
        return fault_set(fault, FAULT_MISSING, "'%s' is not a shelf of this room: scan the shelf or enter it", place);
    if (!json_is_array(units) || json_array_size(units) == 0)
        return fault_set(fault, FAULT_INPUT, "'units' is not a list of what comes back");
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who brings it");
    counter_clear_group(&turn.counter);
    for (size_t i = 0; i < json_array_size(units); i++)
        if (!read_unit(&turn, json_array_get(units, i), fault))
            return false;
    if (!judge_amounts(&turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_GO || confirm) {
        if (!book_and_say(&turn, place, fault))
            return false;
    } else {
        counter_show(&turn.counter, &list);
    }
    return turn_answer(&turn, answer, fault);
}
