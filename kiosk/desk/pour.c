#include "kiosk/desk/pour.h"

#include <string.h>

#include "kiosk/desk/card_number.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/content_label.h"
#include "kiosk/desk/kept_taken.h"
#include "kiosk/desk/kept_words.h"
#include "kiosk/desk/overrule.h"
#include "kiosk/desk/substitutes.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/rules/pour.h"

enum { AMOUNT_ML_MAX = 1000000, UL_A_ML = 1000 };

struct pour {
    struct thing from, to;
    struct kept_words kept;  /* the source */
    char job[JOB_CODE_SIZE]; /* code of the job in whose printer the target is; "" none */
    int64_t amount_ul;       /* MOVEMENT_NULL: nobody knows, or not said yet */
    bool all;                /* all there is, known or not */
    bool said;
};

static struct pour said_at(const struct counter *counter)
{
    const struct counter_unit *from = &counter->units[0];
    return (struct pour){.amount_ul = from->amount_ul,
                         .all = from->all,
                         .said = from->all || from->unknown || from->amount_ul != MOVEMENT_NULL};
}

static bool load(struct turn *turn, const char *from, const char *to, struct pour *pour, struct fault *fault)
{
    if (!thing_require(turn->ledger, from, &pour->from, fault) || !thing_require(turn->ledger, to, &pour->to, fault))
        return false;
    if (pour->all)
        pour->amount_ul = pour->from.unit.amount_ul;
    return kept_words_load(turn->ledger, &pour->from.unit, &pour->kept, fault) &&
           kept_taken_job(turn->ledger, pour->to.unit.printer, pour->job, fault);
}

static int64_t content_of(const struct thing *thing)
{
    return thing->unit.resin[0] == '\0' ? 0 : thing->unit.amount_ul;
}

static bool judge(struct turn *turn, const struct pour *pour, struct verdict_list *list, struct fault *fault)
{
    struct substitutes substitutes;
    if (!substitutes_load(turn, &substitutes, fault)) {
        substitutes_free(&substitutes);
        return false;
    }
    const struct check_out_thing from = thing_for_rule(&pour->from), to = thing_for_rule(&pour->to);
    pour_judge(&(struct pour_case){.from = &from,
                                   .to = &to,
                                   .from_recovered = pour->from.unit.recovered,
                                   .to_recovered = pour->to.unit.recovered,
                                   .from_ul = content_of(&pour->from),
                                   .to_ul = content_of(&pour->to),
                                   .room_ul = pour->to.item.content_ul,
                                   .amount_ul = pour->amount_ul,
                                   .substitutions = &substitutes.table,
                                   .today = turn->act->moment.local_day,
                                   .clock_trusted = turn->act->moment.trusted},
               list);
    substitutes_free(&substitutes);
    turn_judge_person(turn, "pour", list);
    const struct kept kept = kept_words_for_rule(&pour->kept);
    const struct kept_asking asking = kept_taken_asking(turn, pour->job, true);
    kept_judge(pour->from.unit.serial, &kept, &asking, list);
    return true;
}

/* ---- booking ---- */

/* The books follow what was seen: so much is in it. */
static bool book_content(struct turn *turn, const char *serial, int64_t amount_ul, struct fault *fault)
{
    struct movement weighing;
    movement_init(&weighing, MOVEMENT_WEIGHING);
    if (!contents_say(turn->ledger, serial, NULL, &weighing, fault))
        return false;
    weighing.amount_ul = amount_ul;
    return turn_book(turn, &weighing, fault);
}

/* More came out than was in it by the books: they were wrong before. */
static bool book_more(struct turn *turn, const struct pour *pour, struct fault *fault)
{
    const int64_t there = pour->from.unit.amount_ul;
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    if (pour->amount_ul == MOVEMENT_NULL || there == MOVEMENT_NULL || pour->amount_ul <= there)
        return true;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "%g ml came out of %s, and %g ml were in it by the books.", (double)pour->amount_ul / UL_A_ML,
                 pour->from.unit.serial, (double)there / UL_A_ML);
    return book_content(turn, pour->from.unit.serial, pour->amount_ul, fault) &&
           turn_question(turn, "more-than-booked", pour->from.unit.serial, note, fault);
}

/* Of a mix the container says which resin it goes as (another revision may be among it by the room's table); what is
 * clean takes that over with the mix. */
static json_t *goes_as(const struct pour *pour)
{
    const bool mix = pour->from.unit.lot[0] == '\0', clean = pour->to.unit.resin[0] == '\0';
    return mix && clean && pour->from.unit.resin[0] ? json_pack("{s:s}", "as", pour->from.unit.resin) : NULL;
}

/* `overruled` NULL: nothing was. */
static bool book_pour(struct turn *turn, const struct pour *pour, const struct verdict_list *overruled,
                      struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_POUR);
    if (!contents_say(turn->ledger, pour->from.unit.serial, goes_as(pour), &movement, fault))
        return false;
    const char *word = pour_word(pour->from.unit.serial[0], pour->to.unit.serial[0], pour->to.unit.resin[0] == '\0');
    turn_copy(movement.word, sizeof movement.word, word ? word : "top-up");
    turn_copy(movement.other, sizeof movement.other, pour->to.unit.serial);
    movement.amount_ul = pour->amount_ul;
    movement.filled = turn->act->moment.local_day.number;
    return overrule_note(turn, overruled, &movement, fault) &&
           turn_book(turn, &movement, fault) && /* all of an unknown amount: nothing is left all the same */
           (!pour->all || pour->amount_ul != MOVEMENT_NULL || book_content(turn, pour->from.unit.serial, 0, fault));
}

static bool book(struct turn *turn, const struct pour *pour, const struct verdict_list *overruled, struct fault *fault)
{
    const char *const target = pour->to.unit.serial;
    struct content_label label;
    return content_label_note(turn, target, &label, fault) && book_more(turn, pour, fault) &&
           book_pour(turn, pour, overruled, fault) && content_label_follow(turn, &label, fault);
}

static void name_amount(const struct pour *pour, char *text, size_t size)
{
    struct builder out;
    builder_init(&out, text, size);
    if (pour->amount_ul != MOVEMENT_NULL)
        builder_addf(&out, "%g ml", (double)pour->amount_ul / UL_A_ML);
    else
        builder_add(&out, pour->all ? "all" : "an unknown amount");
}

/* What has to be read of `list` is said once more; `overruled` NULL: nothing was. */
static bool book_and_say(struct turn *turn, const struct pour *pour, const struct verdict_list *list,
                         const struct verdict_list *overruled, struct fault *fault)
{
    char amount[40], did[COUNTER_TITLE_SIZE];
    struct builder out;
    if (!book(turn, pour, overruled, fault))
        return false;
    name_amount(pour, amount, sizeof amount);
    counter_clear_group(&turn->counter);
    builder_init(&out, did, sizeof did);
    builder_addf(&out, "Booked: %s from %s into %s.", amount, pour->from.unit.serial, pour->to.unit.serial);
    overrule_say(&turn->counter, overruled, did);
    verdict_add_notes(&turn->counter.verdict, list);
    return true;
}

/* ---- at the counter ---- */

/* Books what has been said in full and nothing speaks against; the group is closed then. */
static bool go_on(struct turn *turn, const struct pour *pour, const struct verdict_list *list, struct fault *fault)
{
    if (!turn_has_person(turn, "pour", "to pour this"))
        return true;
    if (!book_and_say(turn, pour, list, NULL, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool pour_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct pour pour = said_at(counter);
    struct verdict_list list;
    if (counter->unit_count < 2) {
        counter_note(counter, "Out of %s: scan what it goes into.", counter->units[0].serial);
        return true;
    }
    if (!load(turn, counter->units[0].serial, counter->units[1].serial, &pour, fault) ||
        !judge(turn, &pour, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP || (pour.said && list.verdict != VERDICT_GO)) {
        counter_show(counter, &list);
        return true;
    }
    if (!pour.said) {
        counter_ask(counter, "How much from %s into %s? An amount's card, 'all of it', or 'nobody knows'.",
                    pour.from.unit.serial, pour.to.unit.serial);
        verdict_add_notes(&counter->verdict, &list);
        return true;
    }
    return go_on(turn, &pour, &list, fault);
}

/* Whoever scanned the vat first means the cartridge all the same: resin goes one way only. */
static void put_in_order(struct counter *counter)
{
    const struct counter_unit first = counter->units[0];
    if (counter->unit_count == 2 && !pour_word(first.serial[0], counter->units[1].serial[0], false) &&
        pour_word(counter->units[1].serial[0], first.serial[0], false)) {
        counter->units[0] = counter->units[1];
        counter->units[1] = first;
    }
}

bool pour_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool may = counter->step == STEP_CHECK_OUT || counter->step == STEP_CHECK_IN || counter->step == STEP_PROOF;
    if (!may || counter->unit_count == 0) {
        counter_note(counter, "Scan what it comes out of, then what it goes into, then the card.");
        return true;
    }
    if (counter->unit_count > 2) {
        counter_ask(counter, "Two things at a time: scan the card NO, then what it comes out of.");
        return true;
    }
    counter->step = STEP_POUR;
    counter->place[0] = '\0';
    put_in_order(counter);
    return pour_show(turn, fault);
}

bool pour_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (counter->unit_count >= 2 && !counter_find(counter, serial)) {
        counter_ask(counter, "From %s into %s: finish that first, or scan the card NO.", counter->units[0].serial,
                    counter->units[1].serial);
        return true;
    }
    if (!counter_find(counter, serial))
        (void)counter_add(counter, serial);
    put_in_order(counter);
    return pour_show(turn, fault);
}

/* What the card says of the amount; false: it is no such card. */
static bool read_card(const char *card, struct counter_unit *from)
{
    int64_t amount = MOVEMENT_NULL;
    const bool all = strcmp(card, "ALL") == 0, unknown = strcmp(card, "UNKNOWN") == 0;
    if (!all && !unknown && !card_number_amount(card, &amount))
        return false;
    from->amount_ul = amount;
    from->all = all;
    from->unknown = unknown;
    return true;
}

bool pour_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    *mine = counter->step == STEP_POUR && read_card(card, &counter->units[0]);
    return !*mine || pour_show(turn, fault);
}

bool pour_confirm(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct pour pour = said_at(counter);
    struct verdict_list list;
    if (counter->unit_count < 2 || !pour.said)
        return pour_show(turn, fault);
    if (!load(turn, counter->units[0].serial, counter->units[1].serial, &pour, fault) ||
        !judge(turn, &pour, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP || !verdict_covers(&counter->verdict, &list)) { /* YES never answers a stop */
        counter_show(counter, &list);
        return true;
    }
    return go_on(turn, &pour, &list, fault);
}

static bool book_against(struct turn *turn, const struct pour *pour, struct fault *fault)
{
    struct verdict_list list;
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    if (!judge(turn, pour, &list, fault))
        return false;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "Poured from %s into %s against the verdict %s: %s", pour->from.unit.serial,
                 pour->to.unit.serial, verdict_word(list.verdict),
                 list.count > 0 ? verdict_worst(&list)->sentence : "nothing spoke against it.");
    text_end_whole(note);
    return book_and_say(turn, pour, &list, NULL, fault) &&
           turn_question(turn, "poured", pour->to.unit.serial, note, fault);
}

bool pour_done_already(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct pour pour = said_at(counter);
    if (counter->unit_count < 2 || !pour.said) {
        counter_ask(counter, "%s",
                    counter->unit_count < 2 ? "Scan what it went into first."
                                            : "Say how much first, or 'nobody knows'.");
        return true;
    }
    if (!turn_has_person(turn, "taken", "to say who poured it"))
        return true;
    if (!load(turn, counter->units[0].serial, counter->units[1].serial, &pour, fault) ||
        !book_against(turn, &pour, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool pour_overrule(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct pour pour = said_at(counter);
    struct verdict_list list;
    bool go;
    if (counter->unit_count < 2 || !pour.said) {
        counter_ask(counter, "%s first, then it can be overruled.",
                    counter->unit_count < 2 ? "Scan what it goes into" : "Say how much, or 'nobody knows',");
        return true;
    }
    if (!load(turn, counter->units[0].serial, counter->units[1].serial, &pour, fault) ||
        !judge(turn, &pour, &list, fault) || !overrule_at_counter(turn, &list, "to pour this", &go, fault))
        return false;
    if (!go)
        return true;
    if (!book_and_say(turn, &pour, &list, &list, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

/* ---- for other acts ---- */

bool pour_all_judge(struct turn *turn, const char *from, const char *to, struct verdict_list *list, struct fault *fault)
{
    struct pour pour = {.amount_ul = MOVEMENT_NULL, .all = true, .said = true};
    if (!load(turn, from, to, &pour, fault))
        return false;
    if (strncmp(pour.from.unit.hold, "film-", 5) == 0) /* that the film is bad is why its resin moves out */
        pour.from.unit.hold[0] = '\0';
    pour.from.unit.film[0] = '\0';
    return judge(turn, &pour, list, fault);
}

bool pour_all_book(struct turn *turn, const char *from, const char *to, struct fault *fault)
{
    struct pour pour = {.amount_ul = MOVEMENT_NULL, .all = true, .said = true};
    return load(turn, from, to, &pour, fault) && book(turn, &pour, NULL, fault);
}

/* ---- by a script or the page ---- */

static bool read_amount(const json_t *content, struct pour *pour, struct fault *fault)
{
    bool unknown;
    if (!content_amount(content, "amount_ml", AMOUNT_ML_MAX, UL_A_ML, &pour->amount_ul, fault) ||
        !content_flag(content, "all", &pour->all, fault) || !content_flag(content, "unknown", &unknown, fault))
        return false;
    pour->said = true;
    return (pour->amount_ul != MOVEMENT_NULL) + pour->all + unknown == 1 ||
           fault_set(fault, FAULT_INPUT, "say one of 'amount_ml', 'all' and 'unknown'");
}

struct asked { /* by a script */
    char from[SERIAL_SIZE], to[SERIAL_SIZE];
    bool confirm, taken, overrule;
};

static bool read_content(const json_t *content, struct asked *asked, struct pour *pour, struct fault *fault)
{
    static const char *const keys[] = {"from",    "to",    "amount_ml", "all", "unknown",
                                       "confirm", "taken", "overrule",  NULL};
    return content_only(content, keys, fault) &&
           content_code(content, "from", CONTENT_REQUIRED, asked->from, sizeof asked->from, fault) &&
           content_code(content, "to", CONTENT_REQUIRED, asked->to, sizeof asked->to, fault) &&
           read_amount(content, pour, fault) && content_flag(content, "confirm", &asked->confirm, fault) &&
           content_flag(content, "taken", &asked->taken, fault) &&
           content_flag(content, "overrule", &asked->overrule, fault) &&
           (!asked->taken || !asked->overrule ||
            fault_set(fault, FAULT_INPUT, "'taken' says what happened and 'overrule' lets it happen: say one of them"));
}

/* Booked, or the verdict as the answer. */
static bool decide(struct turn *turn, const struct asked *asked, const struct pour *pour, struct fault *fault)
{
    struct verdict_list list;
    if (asked->taken)
        return book_against(turn, pour, fault);
    if (!judge(turn, pour, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP && asked->overrule)
        return overrule_in_act(turn, &list, fault) && book_and_say(turn, pour, &list, &list, fault);
    if (list.verdict == VERDICT_GO || (list.verdict == VERDICT_ASK && asked->confirm))
        return book_and_say(turn, pour, &list, NULL, fault);
    counter_show(&turn->counter, &list);
    return true;
}

bool pour_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct pour pour;
    struct asked asked;
    if (!turn_open(context, &turn, fault) || !read_content(context->act->content, &asked, &pour, fault) ||
        /* of what may be overruled, the verdict says who may */
        (!asked.overrule && !turn_may(&turn, asked.taken ? "taken" : "pour", fault)) ||
        !load(&turn, asked.from, asked.to, &pour, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who pours it");
    return decide(&turn, &asked, &pour, fault) && turn_answer(&turn, answer, fault);
}
