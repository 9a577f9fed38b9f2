#include "kiosk/desk/take_on_scan.h"

#include <string.h>

#include "kiosk/desk/card_number.h"
#include "kiosk/desk/keys.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/take_on.h"
#include "kiosk/desk/view.h"

enum { HOURS_MOST = 100000, UL_A_ML = 1000 };

static bool is_vat(const struct counter_bare *bare)
{
    return bare->letter != '\0' && strchr("VT", bare->letter);
}

bool take_on_has_hours(const struct counter *counter)
{
    return counter->bare.letter != '\0' && strchr("VTP", counter->bare.letter);
}

bool take_on_has_film(const struct counter *counter)
{
    return is_vat(&counter->bare);
}

bool take_on_has_amount(const struct counter *counter)
{
    const struct counter_bare *bare = &counter->bare;
    return bare->letter != '\0' && (strchr("CRW", bare->letter) || (is_vat(bare) && bare->resin[0] != '\0'));
}

bool take_on_is_ready(const struct counter *counter)
{
    const struct counter_bare *bare = &counter->bare;
    return bare->place[0] != '\0' && bare->item[0] != '\0' &&
           (!take_on_has_hours(counter) || bare->minutes != MOVEMENT_NULL || bare->unknown);
}

/* The next thing at the same shelf. */
static void forget_thing(struct counter_bare *bare)
{
    char place[PLACE_SIZE];
    turn_copy(place, sizeof place, bare->place);
    counter_bare_clear(bare);
    turn_copy(bare->place, sizeof bare->place, place);
}

/* ---- what is said ---- */

static void say_day(struct builder *out, const char *words, int64_t day)
{
    char date[CALENDAR_DATE_SIZE];
    if (day != MOVEMENT_NULL)
        builder_addf(out, "%s%s", words, calendar_write_date((struct day){(int32_t)day}, date));
}

static void say_amount(const struct counter *counter, struct builder *out)
{
    const int64_t ul = counter->bare.amount_ul;
    if (!take_on_has_amount(counter))
        return;
    if (ul == MOVEMENT_NULL)
        builder_add(out, ", amount unknown");
    else
        builder_addf(out, ", %lld ml", (long long)(ul / UL_A_ML));
}

static void say_hours(const struct counter *counter, struct builder *out)
{
    const struct counter_bare *bare = &counter->bare;
    if (!take_on_has_hours(counter))
        return;
    if (bare->minutes != MOVEMENT_NULL)
        builder_addf(out, ", %lld h", (long long)(bare->minutes / 60));
    else if (bare->unknown)
        builder_add(out, ", hours unknown");
    if (bare->film[0] != '\0')
        builder_addf(out, ", film %s", bare->film);
}

static void judge(const struct counter_bare *bare, const struct item *item, struct verdict_list *list)
{
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    take_on_judge(item, bare->amount_ul, list);
}

static bool show_thing(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct counter_bare *bare = &counter->bare;
    struct item item;
    struct builder out;
    struct verdict_list list;
    char words[COUNTER_TITLE_SIZE];
    bool found = false;
    if (!item_load(turn->ledger, bare->item, &item, &found, fault))
        return false;
    builder_init(&out, words, sizeof words);
    builder_addf(&out, "Take on %s", found ? item.name : bare->item);
    if (bare->resin[0] != '\0')
        builder_addf(&out, " with %s", bare->resin);
    if (bare->lot[0] != '\0')
        builder_addf(&out, ", lot %s", bare->lot);
    say_day(&out, ", use by ", bare->expires);
    say_amount(counter, &out);
    say_hours(counter, &out);
    if (bare->place[0] == '\0')
        builder_add(&out, ": scan the shelf it stands on.");
    else if (!take_on_is_ready(counter))
        builder_addf(&out, ", at %s: how many hours of light? A card of hours, or UNKNOWN.", bare->place);
    else
        builder_addf(&out, ", at %s?", bare->place);
    counter_ask(counter, "%s", words);
    if (found) {
        judge(bare, &item, &list);
        if (list.count > 0)
            counter->verdict = list;
    }
    return true;
}

bool take_on_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    counter->step = STEP_TAKE_ON;
    if (counter->bare.item[0] != '\0')
        return show_thing(turn, fault);
    if (counter->bare.place[0] == '\0')
        counter_ask(counter, "Take on what stands here: scan the shelf.");
    else
        counter_ask(counter, "%s: scan the item's card, or the maker's code on the thing.", counter->bare.place);
    return true;
}

/* ---- scans ---- */

/* What was said before the card stays: of a thing whose label is lost and that was never booked, or the shelf. */
bool take_on_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct counter_bare said = counter->bare;
    struct item item;
    bool found = false;
    const bool told = counter->step == STEP_LABEL_LOST || counter->step == STEP_IDLE;
    counter_clear_group(counter);
    if (!told || said.in_printer)
        return take_on_show(turn, fault);
    said.proposed[0] = '\0';
    if (said.item[0] != '\0' && !item_load(turn->ledger, said.item, &item, &found, fault))
        return false;
    counter->bare = said;
    counter->bare.letter = found ? item.letter : '\0';
    return take_on_show(turn, fault);
}

bool take_on_place(struct turn *turn, const struct place *place, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (strcmp(place->kind, "room") == 0) {
        counter_ask(counter, "%s is another room: scan the shelf here where it stands.", place->code);
        return true;
    }
    turn_copy(counter->bare.place, sizeof counter->bare.place, place->code);
    return take_on_show(turn, fault);
}

static void note_lot(struct counter_bare *bare, const struct supplier_label *label)
{
    if (!label)
        return;
    turn_copy(bare->lot, sizeof bare->lot, label->lot);
    bare->expires = label->has_expires ? label->expires.number : MOVEMENT_NULL;
}

bool take_on_item(struct turn *turn, const struct item *item, const struct supplier_label *label, struct fault *fault)
{
    struct counter_bare *bare = &turn->counter.bare;
    const bool into_vat = is_vat(bare) && strchr("CR", item->letter);
    if (into_vat) {
        turn_copy(bare->resin, sizeof bare->resin, item->code);
        bare->lot[0] = '\0';
        bare->expires = MOVEMENT_NULL;
    } else if (strcmp(bare->item, item->code) != 0) {
        forget_thing(bare);
        turn_copy(bare->item, sizeof bare->item, item->code);
        bare->letter = item->letter;
    }
    note_lot(bare, label);
    return take_on_show(turn, fault);
}

bool take_on_unit(struct turn *turn, const struct unit *unit, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    char words[COUNTER_TITLE_SIZE];
    struct builder out;
    bool proved = false;
    if (unit->labelled) {
        counter_note(counter, "%s has our label and is booked (%s%s): there is nothing to take on.", unit->serial,
                     unit->status == UNIT_IN ? "at " : "",
                     unit->status != UNIT_IN ? "out"
                     : unit->place[0]        ? unit->place
                                             : "not put away");
        return true;
    }
    if (!labels_prove_first(turn, unit, &proved, fault) || !take_on_show(turn, fault))
        return false;
    builder_init(&out, words, sizeof words);
    builder_addf(&out, "Label %s is %sproved. %s", unit->serial, proved ? "" : "not ", counter->title);
    if (counter->bare.item[0] != '\0' || !proved)
        counter_ask(counter, "%s", words);
    else
        counter_say(counter, "%s", words);
    return true;
}

/* ---- cards ---- */

static bool note_card(struct counter *counter, const char *card)
{
    struct counter_bare *bare = &counter->bare;
    int64_t number;
    if (take_on_has_film(counter) && keys_film(card)[0] != '\0')
        turn_copy(bare->film, sizeof bare->film, keys_film(card));
    else if (take_on_has_amount(counter) && card_number_amount(card, &number))
        bare->amount_ul = number;
    else if (take_on_has_hours(counter) && card_number_read(card, "H", HOURS_MOST, &number)) {
        bare->minutes = number * 60;
        bare->unknown = false;
    } else if (strcmp(card, "UNKNOWN") == 0) {
        bare->unknown = take_on_has_hours(counter); /* then it says them: an amount stays as it was said */
        *(bare->unknown ? &bare->minutes : &bare->amount_ul) = MOVEMENT_NULL;
    } else
        return false;
    return true;
}

bool take_on_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    *mine = counter->step == STEP_TAKE_ON && counter->bare.item[0] != '\0' && note_card(counter, card);
    return !*mine || take_on_show(turn, fault);
}

/* ---- YES ---- */

static void put_text(json_t *content, const char *key, const char *value)
{
    if (value[0] != '\0')
        json_object_set_new(content, key, json_string(value));
}

static json_t *content_of(const struct counter_bare *bare)
{
    json_t *content = json_object();
    put_text(content, "item", bare->item);
    put_text(content, "place", bare->place);
    put_text(content, "resin", bare->resin);
    put_text(content, "lot", bare->lot);
    put_text(content, "film", bare->film);
    if (bare->expires != MOVEMENT_NULL)
        json_object_set_new(content, "expires", view_day(bare->expires));
    if (bare->amount_ul != MOVEMENT_NULL)
        json_object_set_new(content, "amount_ml", view_ml(bare->amount_ul));
    if (bare->minutes != MOVEMENT_NULL)
        json_object_set_new(content, "minutes", json_integer(bare->minutes));
    return content;
}

/* Another thing was scanned, or something booked, since it was asked: `*asked` false, and it is asked again. */
static bool was_asked(const struct turn *turn, bool *asked, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    struct item item;
    struct verdict_list list;
    if (!item_load(turn->ledger, counter->bare.item, &item, asked, fault))
        return false;
    if (!*asked)
        return true;
    judge(&counter->bare, &item, &list);
    *asked = verdict_covers(&counter->verdict, &list);
    return true;
}

bool take_on_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    char serial[SERIAL_SIZE], name[NAME_SIZE];
    bool asked = false;
    if (!take_on_is_ready(counter))
        return take_on_show(turn, fault);
    if (!was_asked(turn, &asked, fault))
        return false;
    if (!asked)
        return take_on_show(turn, fault);
    if (!turn_has_person(turn, "take-on", "to take this on"))
        return true;
    json_t *content = content_of(&counter->bare);
    const bool booked = take_on_book(turn, content, serial, name, fault);
    json_decref(content);
    if (!booked)
        return false;
    forget_thing(&counter->bare);
    if (counter->unit_count == COUNTER_UNITS)
        counter->unit_count = 0; /* the list on the screen is full: start the next */
    (void)counter_add(counter, serial);
    counter_say(counter, "Taken on: %s %s at %s. Stick its label on, scan it; then the next one's item card or code.",
                name, serial, counter->bare.place);
    return true;
}
