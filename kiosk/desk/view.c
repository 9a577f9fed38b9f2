#include "kiosk/desk/view.h"

#include <string.h>

#include "kiosk/desk/kept_words.h"
#include "kiosk/desk/keys.h"
#include "kiosk/desk/label_lost.h"
#include "kiosk/desk/prompts.h"
#include "kiosk/desk/receive.h"
#include "kiosk/desk/thing.h"
#include "kiosk/desk/ticket.h"
#include "kiosk/desk/undo.h"
#include "kiosk/desk/use_by.h"
#include "kiosk/ledger/contents.h"

json_t *view_day(int64_t day)
{
    if (day == MOVEMENT_NULL)
        return json_null();
    char date[CALENDAR_DATE_SIZE];
    return json_string(calendar_write_date((struct day){(int32_t)day}, date));
}

/* Days from today; less than 0: it is overdue. */
static json_t *view_days_left(int64_t day, struct day today)
{
    return day == MOVEMENT_NULL ? json_null() : json_integer(day - today.number);
}

json_t *view_ml(int64_t amount_ul)
{
    if (amount_ul == MOVEMENT_NULL)
        return json_null();
    return amount_ul % 1000 == 0 ? json_integer(amount_ul / 1000) : json_real((double)amount_ul / 1000);
}

static json_t *text_or_null(const char *text)
{
    return text[0] != '\0' ? json_string(text) : json_null();
}

static const char *kind_word(char letter)
{
    static const struct {
        char letter;
        const char *word;
    } kinds[] = {{'V', "vat"},    {'T', "vat"},      {'C', "cartridge"},
                 {'R', "bottle"}, {'P', "platform"}, {'W', "waste container"}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (kinds[i].letter == letter)
            return kinds[i].word;
    return "unit";
}

/* Which lots a unit holds when they are several, and how much of each. */
static bool view_lots(struct ledger *ledger, const struct unit *unit, json_t **lots, struct fault *fault)
{
    struct contents contents = {.count = 0};
    if (unit->lot[0] == '\0' && unit->resin[0] != '\0' && !contents_load(ledger, unit, &contents, fault))
        return false;
    json_t *list = json_array();
    for (size_t i = 0; contents.count > 1 && i < contents.count; i++) {
        const struct contents_lot *lot = &contents.lots[i];
        json_array_append_new(list, json_pack("{s:s,s:o,s:o}", "item", lot->item, "lot", text_or_null(lot->lot),
                                              "amount_ml", view_ml(lot->amount_ul)));
    }
    *lots = list;
    return true;
}

static json_t *view_hours(int64_t minutes)
{
    return minutes == MOVEMENT_NULL ? json_null() : json_real((double)minutes / 60);
}

/* Light hours since the thing had so many minutes on it, null when that is not known or never was. */
static json_t *hours_since(const struct unit *unit, int64_t then)
{
    return unit->minutes == MOVEMENT_NULL || then == MOVEMENT_NULL ? json_null() : view_hours(unit->minutes - then);
}

/* What is looked after, and how often. */
static void view_care(const struct thing *thing, json_t *made)
{
    const struct unit *unit = &thing->unit;
    const struct item *item = &thing->item;
    json_object_set_new(made, "life_hours", view_hours(item->life_minutes));
    json_object_set_new(made, "inspect_hours", view_hours(item->inspect_minutes));
    json_object_set_new(made, "inspected_hours", hours_since(unit, unit->inspected_minutes));
    json_object_set_new(made, "surface_life_hours", view_hours(item->surface_minutes));
    json_object_set_new(made, "surface_hours",
                        hours_since(unit, unit->surface_minutes == MOVEMENT_NULL ? 0 : unit->surface_minutes));
    char since[CALENDAR_INSTANT_SIZE];
    json_object_set_new(made, "stood_since",
                        unit->stood_ms == MOVEMENT_NULL
                            ? json_null()
                            : json_string(calendar_write_instant((struct instant){unit->stood_ms}, since)));
    const int64_t stir_days = unit->resin[0] != '\0' ? thing->resin.stir_days : MOVEMENT_NULL;
    json_object_set_new(made, "stir_days", stir_days == MOVEMENT_NULL ? json_null() : json_integer(stir_days));
}

/* As people say it; null when it is kept for nobody, or was until a day that is over. */
static json_t *view_kept(const struct kept_words *words, struct day today)
{
    const struct kept kept = kept_words_for_rule(words);
    return kept_counts(&kept, today, true) ? json_string(words->named) : json_null();
}

bool view_unit(struct ledger *ledger, const struct unit *unit, struct day today, json_t **row, struct fault *fault)
{
    struct thing thing;
    struct kept_words kept;
    if (!thing_of_unit(ledger, unit, &thing, fault) || !kept_words_load(ledger, unit, &kept, fault))
        return false;
    json_t *lots;
    if (!view_lots(ledger, unit, &lots, fault))
        return false;
    json_t *made = json_object();
    json_object_set_new(made, "lots", lots);
    json_object_set_new(made, "serial", json_string(unit->serial));
    json_object_set_new(made, "kind",
                        json_string(unit->status == UNIT_TRAY ? "tray label" : kind_word(unit->serial[0])));
    json_object_set_new(made, "item", json_string(unit->item));
    json_object_set_new(made, "name", json_string(thing.item.name[0] ? thing.item.name : thing.item.code));
    json_object_set_new(made, "resin", text_or_null(thing.resin.resin));
    json_object_set_new(made, "revision", text_or_null(thing.resin.revision));
    json_object_set_new(made, "lot", text_or_null(unit->lot));
    json_object_set_new(made, "filled", view_day(unit->filled));
    json_object_set_new(made, "expires", view_day(unit->expires));
    json_object_set_new(made, "use_by", use_by_json(unit->expires, today));
    json_object_set_new(made, "amount_ml", view_ml(unit->amount_ul));
    json_object_set_new(made, "estimated", json_boolean(unit->estimated));
    json_object_set_new(made, "recovered", json_boolean(unit->recovered));
    json_object_set_new(made, "first_filled", view_day(unit->first_filled));
    json_object_set_new(made, "opened", view_day(unit->opened));
    json_object_set_new(made, "heir", text_or_null(unit->heir));
    json_object_set_new(made, "reserved", text_or_null(unit->reserved));
    json_object_set_new(made, "reserved_until", view_day(unit->reserved_until));
    json_object_set_new(made, "reserved_for", view_kept(&kept, today));
    json_object_set_new(made, "due", view_day(unit->due));
    json_object_set_new(made, "due_days_left", view_days_left(unit->due, today));
    json_object_set_new(made, "pair", text_or_null(unit->pair));
    json_object_set_new(made, "hours", view_hours(unit->minutes));
    view_care(&thing, made);
    json_object_set_new(made, "status", json_string(unit_status_word(unit->status)));
    json_object_set_new(made, "place", text_or_null(unit->place));
    json_object_set_new(made, "holder", text_or_null(unit->holder));
    json_object_set_new(made, "holder_name", text_or_null(thing.holder_name));
    json_object_set_new(made, "printer", text_or_null(unit->printer));
    json_object_set_new(made, "delivery", text_or_null(unit->delivery));
    json_object_set_new(made, "hold", text_or_null(unit->hold));
    json_object_set_new(made, "film", text_or_null(unit->film));
    json_object_set_new(made, "labelled", json_boolean(unit->labelled));
    json_object_set_new(made, "version", json_integer(unit->version));
    *row = made;
    return true;
}

bool desk_unit(struct ledger *ledger, const char *serial, struct day today, json_t **unit, struct fault *fault)
{
    struct unit row;
    bool found;
    if (!unit_load(ledger, serial, &row, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "unit '%.20s' is not known here: check the serial", serial);
    return view_unit(ledger, &row, today, unit, fault);
}

static bool view_person(struct ledger *ledger, const char *serial, json_t **row, struct fault *fault)
{
    *row = json_null();
    if (serial[0] == '\0')
        return true;
    struct person person;
    bool found;
    if (!person_load(ledger, serial, &person, &found, fault))
        return false;
    if (found)
        *row = json_pack("{s:s,s:s,s:s}", "serial", person.serial, "name", person.name[0] ? person.name : person.serial,
                         "role", person.role);
    return true;
}

static bool view_delivery(struct ledger *ledger, const char *id, json_t **row, struct fault *fault)
{
    *row = json_null();
    if (id[0] == '\0')
        return true;
    struct delivery delivery;
    bool found;
    if (!delivery_load(ledger, id, &delivery, &found, fault))
        return false;
    if (found && delivery.open)
        *row = json_pack("{s:s,s:s}", "id", delivery.id, "supplier", delivery.supplier);
    return true;
}

static json_t *view_reasons(const struct verdict_list *verdict)
{
    json_t *list = json_array();
    for (size_t i = 0; i < verdict->count; i++) {
        const struct reason *reason = &verdict->reasons[i];
        json_t *row = json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", reason_code_word(reason->code), "verdict",
                                verdict_word(reason->verdict), "subject", reason->subject, "sentence", reason->sentence,
                                "next", reason->next);
        if (reason->verdict == VERDICT_STOP)
            json_object_set_new(row, "overruled_by", json_string(overruler_word(reason_overruler(reason->code))));
        json_array_append_new(list, row);
    }
    return list;
}

static bool view_units(struct ledger *ledger, const struct counter *counter, struct day today, json_t *list,
                       struct fault *fault)
{
    for (size_t i = 0; i < counter->unit_count; i++) {
        const struct counter_unit *said = &counter->units[i];
        json_t *row = NULL;
        if (!desk_unit(ledger, said->serial, today, &row, fault))
            return false;
        json_t *now = json_object(); /* what the person has said of it, not booked yet */
        json_object_set_new(now, "film", text_or_null(said->film));
        json_object_set_new(now, "amount_ml", view_ml(said->amount_ul));
        json_object_set_new(now, "hours",
                            said->minutes == MOVEMENT_NULL ? json_null() : json_real((double)said->minutes / 60));
        json_object_set_new(now, "unknown", json_boolean(said->unknown));
        json_object_set_new(row, "said", now);
        json_array_append_new(list, row);
    }
    return true;
}

struct unproved { /* of the receipt's item and lot, in the open delivery */
    const struct counter_receipt *receipt;
    int64_t waiting, labelled;
};

static bool count_unproved(const struct unit *unit, void *context)
{
    struct unproved *count = context;
    if (strcmp(unit->item, count->receipt->item) == 0 && strcmp(unit->lot, count->receipt->lot) == 0) {
        count->waiting += !unit->labelled;
        count->labelled += unit->labelled;
    }
    return true;
}

static bool view_proposal(struct ledger *ledger, const struct counter *counter, const struct moment *moment,
                          json_t **row, struct fault *fault)
{
    *row = json_null();
    if (counter->step != STEP_RECEIPT && !(counter->step == STEP_PROOF && counter->receipt.quantity > 0))
        return true;
    const struct counter_receipt *receipt = &counter->receipt;
    struct item item = {.minimum_days = MOVEMENT_NULL};
    bool found = false;
    if (receipt->item[0] != '\0' && !item_load(ledger, receipt->item, &item, &found, fault))
        return false;
    struct unproved count = {.receipt = receipt};
    if (found && counter->delivery[0] != '\0' &&
        !unit_each(ledger, UNIT_BY_DELIVERY, counter->delivery, "", INT64_MAX, count_unproved, &count, fault))
        return false;
    char hold[WORD_SIZE];
    if (!receive_hold(ledger, receipt, moment, hold, fault))
        return false;
    const char *code = receipt->gtin[0] ? receipt->gtin : receipt->maker_code;
    json_t *made = json_object();
    json_object_set_new(made, "item", text_or_null(receipt->item));
    json_object_set_new(made, "name", found ? json_string(item.name) : text_or_null(code));
    json_object_set_new(made, "lot", text_or_null(receipt->lot));
    json_object_set_new(made, "expires", view_day(receipt->expires));
    json_object_set_new(made, "use_by", use_by_json(receipt->expires, moment->local_day));
    json_object_set_new(made, "quantity", json_integer(receipt->quantity));
    json_object_set_new(made, "amount_ml",
                        view_ml(receipt->content_ul != MOVEMENT_NULL ? receipt->content_ul
                                : found                              ? item.content_ul
                                                                     : MOVEMENT_NULL));
    json_object_set_new(made, "day_was_00", json_boolean(receipt->day_was_00));
    json_object_set_new(made, "asked", json_boolean(receipt->asked == receipt->quantity && receipt->asked > 0));
    json_object_set_new(made, "provisional", json_boolean(!found || item.provisional));
    json_object_set_new(made, "hold", text_or_null(hold));
    json_object_set_new(made, "unproved", json_integer(count.waiting));
    json_object_set_new(made, "proved", json_integer(count.labelled));
    *row = made;
    return true;
}

bool view_make(struct ledger *ledger, const struct counter *counter, const char *act_now, const struct moment *moment,
               json_t **view, struct fault *fault)
{
    json_t *made = json_object(), *units = json_array(), *person = NULL, *delivery = NULL, *proposal = NULL,
           *undo = NULL, *ticket = NULL, *candidates = NULL;
    int64_t seq;
    uint8_t hash[HASH_BYTES];
    const bool done =
        ledger_head(ledger, &seq, hash, fault) && view_units(ledger, counter, moment->local_day, units, fault) &&
        view_person(ledger, counter->person, &person, fault) &&
        view_delivery(ledger, counter->delivery, &delivery, fault) &&
        view_proposal(ledger, counter, moment, &proposal, fault) && ticket_view(ledger, counter, &ticket, fault) &&
        label_lost_view(ledger, counter, moment->local_day, &candidates, fault) &&
        undo_view(ledger, counter->name, act_now, &undo, fault);
    if (!done) {
        json_decref(made);
        json_decref(units);
        json_decref(person);
        json_decref(delivery);
        json_decref(proposal);
        json_decref(candidates);
        json_decref(ticket);
        return false;
    }
    json_object_set_new(made, "counter", json_string(counter->name));
    json_object_set_new(made, "seq", json_integer(seq));
    json_object_set_new(made, "person", person);
    json_object_set_new(made, "delivery", delivery);
    json_object_set_new(made, "step", json_string(counter_step_word(counter->step)));
    json_object_set_new(made, "verdict",
                        counter->spoken ? json_string(verdict_word(counter->verdict.verdict)) : json_null());
    json_object_set_new(made, "title", json_string(counter->title));
    json_object_set_new(made, "reasons", view_reasons(&counter->verdict));
    json_object_set_new(made, "prompts", prompts_of(counter, units));
    json_object_set_new(made, "units", units);
    json_object_set_new(made, "proposal", proposal);
    json_object_set_new(made, "candidates", candidates);
    json_object_set_new(made, "ticket", ticket);
    json_object_set_new(made, "keys", keys_of(counter));
    json_object_set_new(made, "undo", undo);
    json_object_set_new(made, "clock_trusted", json_boolean(moment->trusted));
    json_object_set_new(made, "today", view_day(moment->local_day.number));
    json_object_set_new(made, "demo", json_boolean(ledger_is_demo(ledger)));
    *view = made;
    return true;
}

bool desk_view(const struct desk *desk, struct ledger *ledger, const char *counter_name, const struct moment *moment,
               json_t **view, struct fault *fault)
{
    struct counter counter;
    return counter_load(ledger, desk, counter_name, moment, &counter, fault) &&
           view_make(ledger, &counter, "", moment, view, fault);
}
