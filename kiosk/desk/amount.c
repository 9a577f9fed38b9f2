#include "kiosk/desk/amount.h"

#include "kiosk/desk/content.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/rules/amount_likely.h"

enum { UL_A_ML = 1000, AMOUNT_ML_MAX = 1000000 };

void amount_judge_said(const struct thing *thing, int64_t amount_ul, struct verdict_list *list)
{
    amount_said_judge(&(struct amount_said_case){.serial = thing->unit.serial,
                                                 .amount_ul = amount_ul,
                                                 .full_ul = thing->item.content_ul,
                                                 .books_ul = thing->unit.amount_ul},
                      list);
}

static bool read_content(struct turn *turn, const json_t *content, struct thing *thing, int64_t *amount_ul,
                         bool *confirm, struct fault *fault)
{
    static const char *const keys[] = {"unit", "amount_ml", "confirm", NULL};
    char unit[SERIAL_SIZE];
    if (!content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, unit, sizeof unit, fault) ||
        !content_amount(content, "amount_ml", AMOUNT_ML_MAX, UL_A_ML, amount_ul, fault) ||
        !content_flag(content, "confirm", confirm, fault))
        return false;
    if (*amount_ul == MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'amount_ml' is missing: say how much is in it");
    if (turn->person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who looked");
    return thing_require(turn->ledger, unit, thing, fault);
}

static bool book(struct turn *turn, const char *unit, int64_t amount_ul, struct fault *fault)
{
    struct movement weighing;
    movement_init(&weighing, MOVEMENT_WEIGHING);
    if (!contents_say(turn->ledger, unit, NULL, &weighing, fault))
        return false;
    weighing.amount_ul = amount_ul;
    if (!turn_book(turn, &weighing, fault))
        return false;
    counter_say(&turn->counter, "Booked: %g ml are in %s.", (double)amount_ul / UL_A_ML, unit);
    return true;
}

bool amount_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct thing thing;
    struct verdict_list list = {.verdict = VERDICT_GO};
    int64_t amount_ul;
    bool confirm;
    if (!turn_begin(context, &turn, fault) ||
        !read_content(&turn, context->act->content, &thing, &amount_ul, &confirm, fault))
        return false;
    amount_judge_said(&thing, amount_ul, &list);
    if (list.verdict == VERDICT_GO || confirm) {
        if (!book(&turn, thing.unit.serial, amount_ul, fault))
            return false;
    } else {
        counter_show(&turn.counter, &list);
    }
    return turn_answer(&turn, answer, fault);
}
