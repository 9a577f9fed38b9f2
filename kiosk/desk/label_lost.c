#include "kiosk/desk/label_lost.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/label_lost_look.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/relabel.h"
#include "kiosk/desk/thing.h"
#include "kiosk/desk/view.h"

enum { NAMED_MOST = 4, OUT_NAMED_MOST = 6, UL_A_ML = 1000 };

static void say_thing(const struct thing *thing, struct builder *out)
{
    const struct unit *unit = &thing->unit;
    builder_addf(out, "%s (%s", unit->serial, thing->item.name[0] ? thing->item.name : unit->item);
    if (unit->lot[0])
        builder_addf(out, ", lot %s", unit->lot);
    if (unit->resin[0] && unit->amount_ul == MOVEMENT_NULL)
        builder_add(out, ", amount unknown");
    else if (unit->resin[0])
        builder_addf(out, ", %g ml", (double)unit->amount_ul / UL_A_ML);
    if (unit->opened != MOVEMENT_NULL)
        builder_add(out, ", opened");
    if (unit->film[0])
        builder_addf(out, ", film %s", unit->film);
    builder_add(out, ")");
}

static bool ask_about_one(struct turn *turn, const struct label_lost_look *look, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct lost_candidate *one = &look->list[look->finding.one];
    struct thing thing;
    struct builder out;
    char words[COUNTER_TITLE_SIZE];
    if (!thing_require(turn->ledger, one->serial, &thing, fault))
        return false;
    builder_init(&out, words, sizeof words);
    builder_add(&out, look->finding.answer == LOST_SURE ? "It must be " : "It is probably ");
    say_thing(&thing, &out);
    if (!one->here && thing.unit.status == UNIT_OUT)
        builder_addf(&out, ", out %s%s by the books", thing.holder_name[0] ? "with " : "", thing.holder_name);
    builder_add(&out, thing.unit.labelled ? ". Is its label gone? YES gives it a new one."
                                          : ". Its label was never scanned back: YES prints it.");
    counter_ask(counter, "%s", words);
    turn_copy(counter->bare.proposed, sizeof counter->bare.proposed, one->serial);
    return true;
}

/* By the books those are elsewhere; each may have come back unbooked. */
static bool name_those_out(struct turn *turn, const struct label_lost_look *look, struct fault *fault)
{
    size_t named = 0;
    for (size_t i = 0; i < look->count && named < OUT_NAMED_MOST; i++) {
        struct thing thing;
        if (look->list[i].here)
            continue;
        if (!thing_require(turn->ledger, look->list[i].serial, &thing, fault))
            return false;
        if (thing.unit.status == UNIT_OUT)
            verdict_add(&turn->counter.verdict, REASON_ALSO_OUT, thing.unit.serial,
                        "%s of this kind is out%s%s%s%s: it may have come back unbooked.", thing.unit.serial,
                        thing.holder_name[0] ? " with " : "", thing.holder_name, thing.machine_name[0] ? ", in " : "",
                        thing.machine_name);
        else
            verdict_add(&turn->counter.verdict, REASON_ALSO_OUT, thing.unit.serial,
                        "%s of this kind was never put away: it may be this one.", thing.unit.serial);
        named++;
    }
    return true;
}

static void ask_among_several(struct counter *counter, const struct label_lost_look *look)
{
    char words[COUNTER_TITLE_SIZE], advice[LOST_LABEL_ADVICE_SIZE];
    struct builder out;
    size_t named = 0;
    const bool here = look->finding.here > 0;
    lost_label_advise(look->list, look->count, advice);
    builder_init(&out, words, sizeof words);
    builder_addf(&out, "%s%zu may be it: ", look->more ? "More than " : "",
                 here ? look->finding.here : look->finding.elsewhere);
    for (size_t i = 0; i < look->count && named < NAMED_MOST; i++)
        if (look->list[i].here == here)
            builder_addf(&out, "%s%s", named++ ? ", " : "", look->list[i].serial);
    builder_addf(&out, "%s. Scan the labels of the others%s.%s%s",
                 (here ? look->finding.here : look->finding.elsewhere) > named ? " …" : "",
                 here ? " that stand here" : "", advice[0] ? " " : "", advice);
    counter_ask(counter, "%s", words);
}

/* What was moved without a scan would be booked twice, were it taken on. */
static void ask_to_look_elsewhere(struct counter *counter, const struct label_lost_look *look)
{
    const bool many = look->booked_count > 1;
    char words[COUNTER_TITLE_SIZE];
    struct builder out;
    builder_init(&out, words, sizeof words);
    for (size_t i = 0; i < look->booked_count && i < LABEL_LOST_BOOKED; i++)
        builder_addf(&out, "%s%s is booked at %s", i > 0 ? ", " : "", look->booked[i].serial, look->booked[i].place);
    if (look->booked_count > LABEL_LOST_BOOKED)
        builder_addf(&out, " and %zu more", look->booked_count - LABEL_LOST_BOOKED);
    builder_addf(&out, ": scan %s there first; where no such label is, scan that shelf. %s there, it was never booked.",
                 many ? "their labels" : "its label", many ? "If all are" : "If it is");
    text_end_whole(words);
    counter_ask(counter, "%s", words);
}

static void ask_for_more(struct counter *counter)
{
    const struct counter_bare *bare = &counter->bare;
    if (bare->place[0] == '\0')
        counter_ask(counter, "A label is lost: scan the shelf or printer where the thing stands.");
    else
        counter_ask(counter,
                    "%s: scan the item's card, the maker's code on the thing, or the label of another one of its kind.",
                    bare->place);
}

static bool say_finding(struct turn *turn, const struct label_lost_look *look, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    switch (look->finding.answer) {
    case LOST_NONE:
        if (look->booked_count > 0)
            ask_to_look_elsewhere(counter, look);
        else
            counter_ask(counter, "No booked %s%s%s can be it: it was never booked. Take it on: the card TAKE-ON.",
                        counter->bare.item, look->lot[0] ? " of lot " : "", look->lot);
        return true;
    case LOST_SURE:
        return ask_about_one(turn, look, fault);
    case LOST_LIKELY:
        return ask_about_one(turn, look, fault) && name_those_out(turn, look, fault);
    default:
        ask_among_several(counter, look);
        return true;
    }
}

bool label_lost_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    counter->step = STEP_LABEL_LOST;
    counter->bare.proposed[0] = '\0';
    if (counter->bare.place[0] == '\0' || counter->bare.item[0] == '\0') {
        ask_for_more(counter);
        return true;
    }
    struct label_lost_look look;
    return label_lost_look(turn->ledger, counter, &look, fault) && say_finding(turn, &look, fault);
}

bool label_lost_begin(struct turn *turn, struct fault *fault)
{
    counter_clear_group(&turn->counter);
    return label_lost_show(turn, fault);
}

bool label_lost_place(struct turn *turn, const char *code, bool printer, struct fault *fault)
{
    struct counter_bare *bare = &turn->counter.bare;
    turn_copy(bare->place, sizeof bare->place, code);
    bare->in_printer = printer;
    return label_lost_show(turn, fault);
}

bool label_lost_item(struct turn *turn, const char *item, const char *lot, struct fault *fault)
{
    struct counter_bare *bare = &turn->counter.bare;
    turn_copy(bare->item, sizeof bare->item, item);
    turn_copy(bare->lot, sizeof bare->lot, lot);
    return label_lost_show(turn, fault);
}

bool label_lost_seen(struct turn *turn, const struct unit *unit, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    bool proved = unit->labelled; /* what is seen is on its thing: proved on the way, if it was not */
    if (proved ? !labels_prove_other(turn, unit->serial, "", fault) : !labels_prove_first(turn, unit, &proved, fault))
        return false;
    if (counter->bare.item[0] == '\0')
        turn_copy(counter->bare.item, sizeof counter->bare.item, unit->item);
    const bool known = counter_find(counter, unit->serial) != NULL;
    if (!known && !counter_add(counter, unit->serial)) {
        counter_object(counter, REASON_UNREADABLE, unit->serial,
                       "%d labels were seen, more are not kept: choose on the page which one it must be.",
                       COUNTER_UNITS);
        return true;
    }
    return label_lost_show(turn, fault);
}

bool label_lost_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct verdict_list list;
    struct unit unit;
    bool sure = false;
    char proposed[SERIAL_SIZE], fresh[SERIAL_SIZE];
    turn_copy(proposed, sizeof proposed, counter->bare.proposed);
    if (proposed[0] == '\0')
        return label_lost_show(turn, fault);
    if (!label_lost_is_found(turn, proposed, &sure, fault))
        return false;
    if (!sure) /* booked by somebody meanwhile: what is so now is shown */
        return label_lost_show(turn, fault);
    if (!turn_has_person(turn, "relabel", "to give it a new label"))
        return true;
    if (!thing_require_unit(turn->ledger, proposed, &unit, fault) || !relabel_judge(turn, &unit, &list, fault))
        return false;
    if (list.verdict != VERDICT_GO) {
        counter_show(counter, &list);
        return true;
    }
    return relabel_book(turn, &unit, false, fresh, fault);
}

bool label_lost_is_found(struct turn *turn, const char *serial, bool *sure, struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    struct label_lost_look look;
    *sure = false;
    if (counter->step != STEP_LABEL_LOST || counter->bare.place[0] == '\0' || counter->bare.item[0] == '\0')
        return true;
    if (!label_lost_look(turn->ledger, counter, &look, fault))
        return false;
    *sure = (look.finding.answer == LOST_SURE || look.finding.answer == LOST_LIKELY) &&
            strcmp(look.list[look.finding.one].serial, serial) == 0;
    return true;
}

bool label_lost_view(struct ledger *ledger, const struct counter *counter, struct day today, json_t **list,
                     struct fault *fault)
{
    struct label_lost_look look;
    *list = json_null();
    if (counter->step != STEP_LABEL_LOST || counter->bare.place[0] == '\0' || counter->bare.item[0] == '\0')
        return true;
    if (!label_lost_look(ledger, counter, &look, fault))
        return false;
    json_t *made = json_array();
    for (size_t i = 0; i < look.count; i++) {
        json_t *row = NULL;
        if (!desk_unit(ledger, look.list[i].serial, today, &row, fault)) {
            json_decref(made);
            return false;
        }
        json_object_set_new(row, "here", json_boolean(look.list[i].here));
        json_array_append_new(made, row);
    }
    *list = made;
    return true;
}
