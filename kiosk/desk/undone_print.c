#include "kiosk/desk/undone_print.h"

#include <string.h>

#include "kiosk/desk/undone_act.h"
#include "kiosk/ledger/movement_detail.h"

static void begin(struct movement *back, const struct movement *done)
{
    movement_init(back, done->kind);
    turn_copy(back->unit, sizeof back->unit, done->unit);
    turn_copy(back->place, sizeof back->place, done->place);
    back->pieces = done->pieces;
    back->refers = done->seq;
}

static bool book_state(struct turn *turn, const struct movement *done, enum print_state state, struct fault *fault)
{
    struct movement back;
    begin(&back, done);
    turn_copy(back.word, sizeof back.word, print_state_word(state));
    return turn_book(turn, &back, fault);
}

/* The thing itself may have been taken back since: then it wants no label. */
static bool is_void(struct turn *turn, const char *serial, bool *is, struct fault *fault)
{
    struct unit unit;
    bool found = false;
    if (serial[0] != '\0' && serial[0] != 'H' && !unit_load(turn->ledger, serial, &unit, &found, fault))
        return false;
    *is = found && unit.status == UNIT_VOID;
    return true;
}

static bool let_wait_again(struct turn *turn, const struct movement *done, struct fault *fault)
{
    json_t *object = NULL;
    char was[WORD_SIZE];
    enum print_state state = PRINT_WAITING;
    bool gone;
    if (!movement_detail_read(done->detail, &object, fault))
        return false;
    const bool read = movement_detail_text(object, "was", was, sizeof was, fault);
    json_decref(object);
    if (!read || !is_void(turn, done->unit, &gone, fault))
        return false;
    (void)print_state_read(was, &state);
    return gone || book_state(turn, done, state, fault);
}

/* Moved again since: that stands. */
static bool move_back(struct turn *turn, const struct movement *done, const struct print *label, struct fault *fault)
{
    struct movement back;
    json_t *object = NULL;
    int64_t was;
    if (label->rank != -done->seq)
        return true;
    begin(&back, done);
    if (!movement_detail_read(done->detail, &object, fault))
        return false;
    bool good = movement_detail_number(object, "was", &was, fault);
    json_decref(object);
    if (!good)
        return false;
    object = json_pack("{s:I,s:I}", "rank", (json_int_t)was, "was", (json_int_t)label->rank);
    good = movement_detail_write(object, back.detail, fault);
    json_decref(object);
    return good && turn_book(turn, &back, fault);
}

bool undone_print_take_back(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct print label;
    bool found;
    if (!print_load(turn->ledger, done->unit, done->place, done->pieces, &label, &found, fault))
        return false;
    if (!found)
        return true;
    if (done->kind == MOVEMENT_PRINT_MOVE)
        return label.state != PRINT_WAITING || move_back(turn, done, &label, fault);
    if (undone_is_print(done, PRINT_WAITING))
        return label.state != PRINT_WAITING || book_state(turn, done, PRINT_WITHDRAWN, fault);
    if (undone_is_print(done, PRINT_WITHDRAWN))
        return label.state != PRINT_WITHDRAWN || let_wait_again(turn, done, fault);
    return true;
}
