#include "kiosk/desk/labels.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/movement_detail.h"

static const char LABEL_QUESTION[] = "label-unknown";

/* Which template a serial's label is drawn from. */
static const char *template_of(char letter)
{
    switch (letter) {
    case 'V':
        return "vat-case";
    case 'T':
        return "vat";
    case 'R':
        return "bottle";
    case 'P':
        return "platform";
    case 'W':
        return "waste";
    case 'H':
        return "person";
    default:
        return "cartridge";
    }
}

/* A bottle or a waste container whose item asks for a hazard label gets that one instead. A cartridge keeps its
 * maker's. */
static bool choose_template(struct turn *turn, const char *serial, char name[WORD_SIZE], struct fault *fault)
{
    struct unit unit;
    struct item item;
    bool found = false;
    turn_copy(name, WORD_SIZE, template_of(serial[0]));
    if (serial[0] != 'R' && serial[0] != 'W')
        return true;
    if (!unit_load(turn->ledger, serial, &unit, &found, fault) ||
        (found && !item_load_sds(turn->ledger, unit.item, unit.resin, &item, &found, fault)))
        return false;
    if (found && item.sds.label[0] != '\0')
        turn_copy(name, WORD_SIZE, item.sds.label);
    return true;
}

static bool order(struct turn *turn, const char *serial, const char *place, const char *template_name, int64_t number,
                  const char *job, struct fault *fault)
{
    struct movement print;
    movement_init(&print, MOVEMENT_PRINT);
    turn_copy(print.job, sizeof print.job, job);
    turn_copy(print.unit, sizeof print.unit, serial);
    turn_copy(print.place, sizeof print.place, place);
    turn_copy(print.word, sizeof print.word, print_state_word(PRINT_WAITING));
    print.pieces = number;
    struct builder detail;
    builder_init(&detail, print.detail, sizeof print.detail);
    builder_addf(&detail, "{\"template\":\"%s\"}", template_name);
    return turn_book(turn, &print, fault);
}

struct newest {
    struct print print;
    bool found;
    bool unknown; /* of one of its labels nobody knows whether it came out */
};

static bool take_newest(const struct print *print, void *context)
{
    struct newest *newest = context;
    if (!newest->found || print->number > newest->print.number)
        newest->print = *print;
    newest->found = true;
    newest->unknown = newest->unknown || print->state == PRINT_UNKNOWN;
    return true;
}

static bool newest_label(struct turn *turn, const char *serial, const char *place, struct newest *newest,
                         struct fault *fault)
{
    *newest = (struct newest){.found = false};
    if (serial[0] != '\0')
        return print_each_of_unit(turn->ledger, serial, take_newest, newest, fault);
    for (int64_t number = 1;; number++) { /* a place has had few labels */
        struct print print;
        bool found;
        if (!print_load(turn->ledger, "", place, number, &print, &found, fault))
            return false;
        if (!found)
            return true;
        (void)take_newest(&print, newest);
    }
}

bool labels_newest(struct turn *turn, const char *serial, const char *place, struct print *newest, bool *found,
                   struct fault *fault)
{
    struct newest look;
    if (!newest_label(turn, serial, place, &look, fault))
        return false;
    *found = look.found;
    if (look.found)
        *newest = look.print;
    return true;
}

bool labels_order(struct turn *turn, const char *serial, struct fault *fault)
{
    struct newest newest;
    char template_name[WORD_SIZE];
    return newest_label(turn, serial, "", &newest, fault) && choose_template(turn, serial, template_name, fault) &&
           order(turn, serial, "", template_name, newest.found ? newest.print.number + 1 : 1, "", fault);
}

bool labels_order_place(struct turn *turn, const char *place, struct fault *fault)
{
    struct newest newest;
    struct job job = {.id = ""};
    const int64_t plan = print_ticket_plan(place);
    if (plan != MOVEMENT_NULL && !job_plan_of_ticket(turn->ledger, plan, &job, fault))
        return false;
    if (plan != MOVEMENT_NULL && job.ended_ms != MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED, "job %s is over: plan it again if it is to be printed again", job.code);
    return newest_label(turn, "", place, &newest, fault) &&
           order(turn, "", place, plan != MOVEMENT_NULL ? "job-ticket" : "place",
                 newest.found ? newest.print.number + 1 : 1, job.id, fault);
}

bool labels_settle(struct turn *turn, const char *serial, const char *how, struct fault *fault)
{
    int64_t seq;
    if (serial[0] == '\0')
        return true;
    if (!turn_find_question(turn, LABEL_QUESTION, serial, &seq, fault))
        return false;
    if (seq == 0)
        return true;
    struct movement settled;
    movement_init(&settled, MOVEMENT_SETTLEMENT);
    turn_copy(settled.unit, sizeof settled.unit, serial);
    turn_copy(settled.word, sizeof settled.word, how);
    settled.refers = seq;
    return turn_book(turn, &settled, fault);
}

/* "Did the label come out?" is answered by scanning it, or one that was printed in its stead. */
static bool mark_proved(struct turn *turn, const struct newest *newest, struct fault *fault)
{
    const struct print *print = &newest->print;
    struct movement proved;
    movement_init(&proved, MOVEMENT_PRINT);
    turn_copy(proved.unit, sizeof proved.unit, print->unit);
    turn_copy(proved.place, sizeof proved.place, print->place);
    turn_copy(proved.word, sizeof proved.word, print_state_word(PRINT_PROVED));
    proved.pieces = print->number;
    return turn_book(turn, &proved, fault) &&
           (!newest->unknown || labels_settle(turn, print->unit, "label-scanned", fault));
}

struct lots {
    const struct unit *unit;
    bool several; /* labels of other lots wait for their proof as well */
    int64_t waiting, proved;
};

static bool count_lots(const struct unit *other, void *context)
{
    struct lots *lots = context;
    const bool same = strcmp(other->item, lots->unit->item) == 0 && strcmp(other->lot, lots->unit->lot) == 0;
    lots->several = lots->several || (!same && !other->labelled); /* proved ones can't be swapped any more */
    if (same) {
        lots->waiting += !other->labelled;
        lots->proved += other->labelled;
    }
    return true;
}

bool labels_may_be_swapped(struct turn *turn, const char *delivery, const char *item, const char *lot, bool *may,
                           struct fault *fault)
{
    struct unit like = {.status = UNIT_IN};
    struct lots lots = {.unit = &like};
    turn_copy(like.item, sizeof like.item, item);
    turn_copy(like.lot, sizeof like.lot, lot);
    if (!unit_each(turn->ledger, UNIT_BY_DELIVERY, delivery, "", INT64_MAX, count_lots, &lots, fault))
        return false;
    *may = lots.several;
    return true;
}

/* Which maker's code was scanned just before, when that matters. True in `*may`: the label is on the right thing. */
static bool check_swapped(struct turn *turn, const struct unit *unit, const struct lots *lots, bool *may,
                          struct fault *fault)
{
    struct counter *counter = &turn->counter;
    *may = true;
    if (counter->proof_set &&
        (strcmp(counter->proof_item, unit->item) != 0 || strcmp(counter->proof_lot, unit->lot) != 0)) {
        const bool same_item = strcmp(counter->proof_item, unit->item) == 0;
        counter_object(counter, REASON_LABEL_SWAPPED, unit->serial,
                       "Label %s is for %s%slot %s, but the thing in your hand says %s%slot %s.", unit->serial,
                       same_item ? "" : unit->item, same_item ? "" : " ", unit->lot[0] ? unit->lot : "unknown",
                       same_item ? "" : counter->proof_item, same_item ? "" : " ",
                       counter->proof_lot[0] ? counter->proof_lot : "unknown");
        *may = false;
        return true;
    }
    struct item item;
    bool found;
    if (!item_load(turn->ledger, unit->item, &item, &found, fault))
        return false;
    const bool has_code = found && (item.gtin[0] != '\0' || item.maker_code[0] != '\0');
    if (!counter->proof_set && lots->several && has_code) {
        counter_object(counter, REASON_PROVE_FIRST, unit->serial,
                       "This delivery has several lots: scan the maker's code on the thing first, then label %s.",
                       unit->serial);
        *may = false;
    }
    return true;
}

bool labels_prove(struct turn *turn, const struct unit *unit, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct lots lots = {.unit = unit};
    struct newest newest;
    bool may;
    if (unit->delivery[0] != '\0' &&
        !unit_each(turn->ledger, UNIT_BY_DELIVERY, unit->delivery, "", INT64_MAX, count_lots, &lots, fault))
        return false;
    if (!check_swapped(turn, unit, &lots, &may, fault))
        return false;
    if (!may)
        return true;
    if (!newest_label(turn, unit->serial, "", &newest, fault))
        return false;
    if (!turn_may_here(turn, "prove"))
        return true;
    if (!newest.found) {
        counter_note(counter, "No label of %s was ever printed here: reprint it.", unit->serial);
        return true;
    }
    if (!mark_proved(turn, &newest, fault))
        return false;
    if (counter->step != STEP_PROOF) {
        counter_clear_group(counter);
        counter->step = STEP_PROOF;
    }
    if (lots.several)
        counter->proof_set = false; /* one maker's code proves one label */
    if (!counter_find(counter, unit->serial) && !counter_add(counter, unit->serial)) {
        counter->unit_count = 0; /* the list on the screen is full: start the next */
        (void)counter_add(counter, unit->serial);
    }
    const int64_t left = lots.waiting > 0 ? lots.waiting - 1 : 0;
    if (unit->place[0] != '\0')
        counter_say(counter, "Label %s is proved: it stands at %s.", unit->serial, unit->place);
    else if (left > 0)
        counter_say(counter, "Label %s is proved. %lld of this lot to go.", unit->serial, (long long)left);
    else
        counter_say(counter, "Label %s is proved: the last of this lot. Scan the shelf it goes to.", unit->serial);
    return true;
}

bool labels_prove_first(struct turn *turn, const struct unit *unit, bool *proved, struct fault *fault)
{
    struct newest newest;
    struct verdict_list list = {.verdict = VERDICT_GO};
    turn_judge_person(turn, "prove", &list);
    if (!newest_label(turn, unit->serial, "", &newest, fault))
        return false;
    *proved = newest.found && list.count == 0;
    return !*proved || mark_proved(turn, &newest, fault);
}

bool labels_prove_other(struct turn *turn, const char *person, const char *place, struct fault *fault)
{
    struct newest newest;
    if (!newest_label(turn, person, place, &newest, fault))
        return false;
    if (!newest.found)
        return true;
    const enum print_state state = newest.print.state;
    /* a reprint that failed or was withdrawn leaves the old label, which says the same */
    const bool provable = state == PRINT_SENT || state == PRINT_PRINTED || state == PRINT_UNKNOWN ||
                          ((state == PRINT_FAILED || state == PRINT_WITHDRAWN) && newest.print.number == 1);
    struct verdict_list list = {.verdict = VERDICT_GO};
    turn_judge_person(turn, "prove", &list); /* who may not prove it has scanned it all the same */
    return !provable || list.count > 0 || mark_proved(turn, &newest, fault);
}

bool prove_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", NULL};
    struct turn turn;
    struct unit unit;
    char serial[SERIAL_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_code(context->act->content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !thing_require_unit(turn.ledger, serial, &unit, fault))
        return false;
    return labels_prove(&turn, &unit, fault) && turn_answer(&turn, answer, fault);
}

static bool write_device(const char *device, int64_t job, const char *template, char detail[DETAIL_SIZE],
                         struct fault *fault)
{
    json_t *object = json_object();
    if (device[0] != '\0')
        json_object_set_new(object, "device", json_string(device));
    if (template[0] != '\0')
        json_object_set_new(object, "template", json_string(template));
    if (job != MOVEMENT_NULL)
        json_object_set_new(object, "device_job", json_integer(job));
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}

bool print_mark_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit",       "place",    "number", "state", "device",
                                       "device_job", "template", "note",   NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement mark;
    enum print_state state;
    int64_t job;
    char device[65], template[WORD_SIZE], note[200];
    movement_init(&mark, MOVEMENT_PRINT);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_OPTIONAL, mark.unit, sizeof mark.unit, fault) ||
        !content_code(content, "place", CONTENT_OPTIONAL, mark.place, sizeof mark.place, fault) ||
        !content_count(content, "number", CONTENT_REQUIRED, 1, INT32_MAX, &mark.pieces, fault) ||
        !content_text(content, "state", CONTENT_REQUIRED, mark.word, sizeof mark.word, fault) ||
        !content_text(content, "device", CONTENT_OPTIONAL, device, sizeof device, fault) ||
        !content_count(content, "device_job", CONTENT_OPTIONAL, 0, INT32_MAX, &job, fault) ||
        !content_text(content, "template", CONTENT_OPTIONAL, template, sizeof template, fault) ||
        !content_text(content, "note", CONTENT_OPTIONAL, note, sizeof note, fault))
        return false;
    if (!print_state_read(mark.word, &state))
        return fault_set(fault, FAULT_INPUT, "'state' is '%s', not one of a print's states", mark.word);
    if (!write_device(device, job, template, mark.detail, fault) || !turn_book(&turn, &mark, fault))
        return false;
    if (state == PRINT_UNKNOWN &&
        !turn_question(&turn, LABEL_QUESTION, mark.unit,
                       note[0] ? note : "Did the label come out? Scan it, or reprint it.", fault))
        return false;
    return turn_answer(&turn, answer, fault);
}
