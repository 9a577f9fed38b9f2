#include "kiosk/desk/settle.h"

#include "kiosk/desk/content.h"

bool settle_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"question", "how", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement settled;
    struct question question;
    char how[241];
    bool found;
    movement_init(&settled, MOVEMENT_SETTLEMENT);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_count(content, "question", CONTENT_REQUIRED, 1, INT64_MAX, &settled.refers, fault) ||
        !content_text(content, "how", CONTENT_REQUIRED, how, sizeof how, fault) ||
        !question_load(turn.ledger, settled.refers, &question, &found, fault))
        return false;
    if (!found || !question.open)
        return fault_set(fault, FAULT_MISSING, "question %lld is not open", (long long)settled.refers);
    turn_copy(settled.unit, sizeof settled.unit, question.unit);
    turn_copy(settled.word, sizeof settled.word, "settled");
    if (!ledger_text_put(turn.ledger, how, settled.text, fault) || !turn_book(&turn, &settled, fault))
        return false;
    counter_say(&turn.counter, "Settled.");
    return turn_answer(&turn, answer, fault);
}

bool clock_confirm_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {NULL};
    struct turn turn;
    struct movement confirmed;
    movement_init(&confirmed, MOVEMENT_CLOCK_CONFIRMED);
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !turn_book(&turn, &confirmed, fault))
        return false;
    if (turn.desk->clock)
        clock_confirm(turn.desk->clock);
    turn.act->moment.trusted = true; /* so that this very view says so */
    counter_say(&turn.counter, "The date and time are confirmed.");
    return turn_answer(&turn, answer, fault);
}
