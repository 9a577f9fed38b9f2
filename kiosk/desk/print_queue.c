#include "kiosk/desk/print_queue.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/label_choice.h"
#include "kiosk/ledger/movement_detail.h"

static const char *const choice_keys[] = {LABEL_CHOICE_KEYS, NULL};

static void about(struct movement *movement, enum movement_kind kind, const struct print *label)
{
    movement_init(movement, kind);
    turn_copy(movement->unit, sizeof movement->unit, label->unit);
    turn_copy(movement->place, sizeof movement->place, label->place);
    movement->pieces = label->number;
}

/* What it was, for UNDO, which sees the movement and not the row as it stood. */
static bool write_was(struct movement *movement, json_t *was, struct fault *fault)
{
    json_t *detail = json_pack("{s:o}", "was", was);
    const bool written = movement_detail_write(detail, movement->detail, fault);
    json_decref(detail);
    return written;
}

/* ---- to the front ---- */

/* The last first, so that the first of them ends in front and the others follow in order. */
static bool move(struct turn *turn, const struct print_batch *batch, size_t *moved, struct fault *fault)
{
    *moved = 0;
    for (size_t i = batch->count; i-- > 0;) {
        const struct print *label = &batch->labels[i];
        struct movement front;
        if (label->state != PRINT_WAITING)
            continue;
        about(&front, MOVEMENT_PRINT_MOVE, label);
        if (!write_was(&front, json_integer(label->rank), fault) || !turn_book(turn, &front, fault))
            return false;
        ++*moved;
    }
    return true;
}

bool print_move_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct label_choice choice;
    char words[LABEL_CHOICE_WORDS];
    size_t moved;
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, choice_keys, fault) ||
        !label_choice_load(&turn, &choice, fault))
        return false;
    label_choice_words(&choice, words);
    bool done = move(&turn, &choice.batch, &moved, fault);
    if (done && moved == 0)
        done = fault_set(fault, FAULT_REFUSED, "of %s none waits any more: look at the list again", words);
    label_choice_clear(&choice);
    if (!done)
        return false;
    if (choice.is_batch && moved > 1)
        counter_say(&turn.counter, "To the front: of %s the %zu that wait are printed next.", words, moved);
    else
        counter_say(&turn.counter, "To the front, so it is printed next: %s.", words);
    return turn_answer(&turn, answer, fault);
}

/* ---- withdraw ---- */

struct withdrawal {
    size_t withdrawn, told; /* told: the printer has it, and is to drop it */
};

static bool withdraw(struct turn *turn, const struct print *label, struct fault *fault)
{
    struct movement withdrawn;
    about(&withdrawn, MOVEMENT_PRINT, label);
    turn_copy(withdrawn.word, sizeof withdrawn.word, print_state_word(PRINT_WITHDRAWN));
    return write_was(&withdrawn, json_string(print_state_word(label->state)), fault) &&
           turn_book(turn, &withdrawn, fault);
}

static bool tell_cancel(struct turn *turn, const struct print *label, struct fault *fault)
{
    struct movement cancel;
    about(&cancel, MOVEMENT_PRINT_TELL, label);
    turn_copy(cancel.word, sizeof cancel.word, "cancel");
    return turn_book(turn, &cancel, fault);
}

bool print_queue_drop(struct turn *turn, const struct print *label, struct fault *fault)
{
    if (label->state == PRINT_WAITING || label->state == PRINT_FAILED)
        return withdraw(turn, label, fault);
    return label->state != PRINT_SENT || tell_cancel(turn, label, fault);
}

/* One that failed is withdrawn only by its own name: it asks for a reprint, and a batch that is stopped does not answer
 * that. */
static bool withdraw_all(struct turn *turn, const struct label_choice *choice, struct withdrawal *done,
                         struct fault *fault)
{
    *done = (struct withdrawal){0};
    for (size_t i = 0; i < choice->batch.count; i++) {
        const struct print *label = &choice->batch.labels[i];
        const bool waits = label->state == PRINT_WAITING || (label->state == PRINT_FAILED && !choice->is_batch);
        if (waits ? !withdraw(turn, label, fault) : (label->state == PRINT_SENT && !tell_cancel(turn, label, fault)))
            return false;
        done->withdrawn += waits;
        done->told += label->state == PRINT_SENT;
    }
    return true;
}

static void say_withdrawn(struct counter *counter, const char *words, bool is_batch, const struct withdrawal *done)
{
    static const char *const late = "should it come out all the same, destroy it";
    if (done->withdrawn == 0)
        counter_say(counter, "The printer is told to drop %s: %s.", is_batch ? "the one it has" : words, late);
    else if (!is_batch)
        counter_say(counter, "Withdrawn: %s. Reprint when wanted.", words);
    else if (done->told == 0)
        counter_say(counter, "Withdrawn: %zu, of %s. Reprint when wanted.", done->withdrawn, words);
    else
        counter_say(counter, "Withdrawn: %zu, of %s. The printer is told to drop the one it has: %s.", done->withdrawn,
                    words, late);
}

bool print_withdraw_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct label_choice choice;
    struct withdrawal withdrawal;
    char words[LABEL_CHOICE_WORDS];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, choice_keys, fault) ||
        !label_choice_load(&turn, &choice, fault))
        return false;
    label_choice_words(&choice, words);
    const char *state = print_state_word(choice.batch.labels[0].state);
    bool done = withdraw_all(&turn, &choice, &withdrawal, fault);
    if (done && withdrawal.withdrawn + withdrawal.told == 0)
        done = choice.is_batch
                   ? fault_set(fault, FAULT_REFUSED, "of %s none waits any more: look at the list again", words)
                   : fault_set(fault, FAULT_REFUSED, "%s is %s: there is nothing to withdraw", words, state);
    label_choice_clear(&choice);
    if (!done)
        return false;
    say_withdrawn(&turn.counter, words, choice.is_batch, &withdrawal);
    return turn_answer(&turn, answer, fault);
}

/* ---- set going ---- */

static bool tell(struct act_context *context, const char *word, const char *sentence, json_t **answer,
                 struct fault *fault)
{
    static const char *const keys[] = {NULL};
    struct turn turn;
    struct movement told;
    movement_init(&told, MOVEMENT_PRINT_TELL);
    turn_copy(told.word, sizeof told.word, word);
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !turn_book(&turn, &told, fault))
        return false;
    counter_say(&turn.counter, "%s", sentence);
    return turn_answer(&turn, answer, fault);
}

bool print_go_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    return tell(context, "go", "The label printer is told to go on.", answer, fault);
}

bool print_calibration_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    return tell(context, "calibration", "The label printer is told to print its calibration label.", answer, fault);
}
