#include "kiosk/desk/amount.h"

#include "kiosk/desk/content.h"
#include "kiosk/ledger/contents.h"

enum { UL_A_ML = 1000, AMOUNT_ML_MAX = 1000000 };

bool amount_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", "amount_ml", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement weighing;
    char unit[SERIAL_SIZE];
    int64_t amount_ul;
    movement_init(&weighing, MOVEMENT_WEIGHING);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, unit, sizeof unit, fault) ||
        !content_amount(content, "amount_ml", AMOUNT_ML_MAX, UL_A_ML, &amount_ul, fault))
        return false;
    if (amount_ul == MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'amount_ml' is missing: say how much is in it");
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who looked");
    if (!contents_say(turn.ledger, unit, NULL, &weighing, fault))
        return false;
    weighing.amount_ul = amount_ul;
    if (!turn_book(&turn, &weighing, fault))
        return false;
    counter_say(&turn.counter, "Booked: %g ml are in %s.", (double)amount_ul / UL_A_ML, unit);
    return turn_answer(&turn, answer, fault);
}
