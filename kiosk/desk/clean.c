#include "kiosk/desk/clean.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/contents.h"

enum { UL_A_ML = 1000 };

struct cleaning {
    char unit[SERIAL_SIZE];
    char waste[SERIAL_SIZE]; /* the container that the rest goes into; "" not said */
};

static bool load_rest(struct turn *turn, const char *serial, struct contents *rest, struct fault *fault)
{
    struct unit unit;
    if (!thing_require_unit(turn->ledger, serial, &unit, fault))
        return false;
    if (!strchr("VTR", serial[0]))
        return fault_set(fault, FAULT_INPUT, "%s is no vat and no bottle: there is nothing in it to clean out", serial);
    return contents_load(turn->ledger, &unit, rest, fault);
}

static bool is_empty(const struct contents *rest)
{
    return rest->count == 0 || rest->total_ul == 0;
}

static bool book(struct turn *turn, const struct cleaning *cleaning, const struct contents *rest, struct fault *fault)
{
    struct movement waste, clean;
    movement_init(&waste, MOVEMENT_WASTE);
    movement_init(&clean, MOVEMENT_CLEAN);
    if (!is_empty(rest)) {
        if (!contents_say(turn->ledger, cleaning->unit, NULL, &waste, fault))
            return false;
        turn_copy(waste.word, sizeof waste.word, "cleaned-out");
        turn_copy(waste.other, sizeof waste.other, cleaning->waste);
        waste.amount_ul = rest->total_ul;
        if (!turn_book(turn, &waste, fault))
            return false;
    }
    if (!contents_say(turn->ledger, cleaning->unit, NULL, &clean, fault))
        return false;
    turn_copy(clean.word, sizeof clean.word, "wiped");
    if (!turn_book(turn, &clean, fault))
        return false;
    counter_clear_group(&turn->counter);
    counter_say(&turn->counter, "Booked: %s is clean and empty.", cleaning->unit);
    return true;
}

/* The vat, and the waste container when one was scanned with it. */
static bool find_things(const struct counter *counter, struct cleaning *cleaning)
{
    *cleaning = (struct cleaning){.unit = ""};
    for (size_t i = 0; i < counter->unit_count; i++)
        turn_copy(counter->units[i].serial[0] == 'W' ? cleaning->waste : cleaning->unit, SERIAL_SIZE,
                  counter->units[i].serial);
    return cleaning->unit[0] != '\0' && counter->unit_count <= (cleaning->waste[0] ? 2U : 1U);
}

static bool do_it(struct turn *turn, bool asked, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct cleaning cleaning;
    struct contents rest = {.count = 0};
    if (!find_things(counter, &cleaning) || !strchr("VTR", cleaning.unit[0])) {
        counter_note(counter, "Scan the one vat or bottle that was cleaned, and the waste container if there is one.");
        return true;
    }
    if (!load_rest(turn, cleaning.unit, &rest, fault))
        return false;
    counter->step = STEP_CLEAN;
    counter->place[0] = '\0';
    if (!asked && !is_empty(&rest)) {
        if (rest.total_ul == MOVEMENT_NULL)
            counter_ask(counter, "What was left in %s went into the waste%s%s?", cleaning.unit,
                        cleaning.waste[0] ? ", " : "", cleaning.waste);
        else
            counter_ask(counter, "The %g ml in %s went into the waste%s%s?", (double)rest.total_ul / UL_A_ML,
                        cleaning.unit, cleaning.waste[0] ? ", " : "", cleaning.waste);
        return true;
    }
    if (!turn_has_person(turn, "clean", "to say who cleaned it"))
        return true;
    if (!book(turn, &cleaning, &rest, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool clean_begin(struct turn *turn, struct fault *fault)
{
    const enum counter_step step = turn->counter.step;
    if (step != STEP_CHECK_OUT && step != STEP_CHECK_IN && step != STEP_CLEAN) {
        counter_note(&turn->counter, "Scan the vat that was cleaned first.");
        return true;
    }
    return do_it(turn, false, fault);
}

bool clean_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!counter_find(counter, serial) && counter->unit_count < 2)
        (void)counter_add(counter, serial);
    return do_it(turn, false, fault);
}

bool clean_confirm(struct turn *turn, struct fault *fault)
{
    return do_it(turn, true, fault);
}

bool clean_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "waste", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct cleaning cleaning;
    struct contents rest = {.count = 0};
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, cleaning.unit, sizeof cleaning.unit, fault) ||
        !content_code(content, "waste", CONTENT_OPTIONAL, cleaning.waste, sizeof cleaning.waste, fault) ||
        !load_rest(&turn, cleaning.unit, &rest, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who cleaned it");
    return book(&turn, &cleaning, &rest, fault) && turn_answer(&turn, answer, fault);
}
