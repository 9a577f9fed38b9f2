#include "kiosk/desk/undone_act.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/job_end.h"
#include "kiosk/ledger/apply.h"

enum { UNDO_MOVEMENTS = 1024 }; /* a receipt of 200 books 401 */

struct collecting {
    struct undone_act act;
    size_t room; /* in act.movements */
    bool no_memory;
};

/* A movement is large and most acts book two: the list grows as it is filled. */
static bool make_room(struct collecting *collecting)
{
    const size_t room = collecting->room ? collecting->room * 4 : 4;
    struct movement *grown = realloc(collecting->act.movements, room * sizeof *grown);
    collecting->no_memory = grown == NULL;
    if (!grown)
        return false;
    collecting->act.movements = grown;
    collecting->room = room;
    return true;
}

static bool collect(const struct movement *movement, void *context)
{
    struct collecting *collecting = context;
    struct undone_act *act = &collecting->act;
    if (act->count == UNDO_MOVEMENTS) {
        act->cut = true;
        return false;
    }
    if (act->count == collecting->room && !make_room(collecting))
        return false;
    act->movements[act->count++] = *movement;
    return true;
}

bool undone_act_load(struct ledger *ledger, const char *id, struct undone_act *act, struct fault *fault)
{
    struct collecting collecting = {.room = 0};
    bool read = ledger_each_of_act(ledger, id, collect, &collecting, fault);
    if (read && collecting.no_memory)
        read = fault_set(fault, FAULT_STORAGE, "no memory to undo: try again");
    if (read)
        *act = collecting.act;
    else
        free(collecting.act.movements);
    return read;
}

bool undone_is_later_print(const struct movement *movement)
{
    return movement->kind == MOVEMENT_PRINT && strcmp(movement->word, print_state_word(PRINT_WAITING)) != 0;
}

static bool touches_unit(enum movement_kind kind)
{
    static const enum movement_kind kinds[] = {MOVEMENT_RECEIPT, MOVEMENT_TAKE_ON,   MOVEMENT_PUT_AWAY,
                                               MOVEMENT_FILL,    MOVEMENT_CHECK_OUT, MOVEMENT_CHECK_IN,
                                               MOVEMENT_HOLD,    MOVEMENT_RELEASE};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (kinds[i] == kind)
            return true;
    return false;
}

struct later {
    int64_t seq; /* of the first movement since that still stands, 0: none */
};

/* Labels may be printed and proved without anybody having used the thing, and a cartridge put in beside it: that does
 * not stand in the way. A correction
 * puts the thing back to before what it refers to, so all from there on stands no more. */
static bool look_later(const struct movement *movement, void *context)
{
    struct later *later = context;
    if (movement->kind == MOVEMENT_CORRECTION) {
        if (later->seq >= movement->refers)
            later->seq = 0;
    } else if (later->seq == 0 && movement->kind != MOVEMENT_PRINT && movement->kind != MOVEMENT_QUESTION &&
               movement->kind != MOVEMENT_SETTLEMENT && movement->kind != MOVEMENT_SUPPLY) {
        later->seq = movement->seq;
    }
    return true;
}

static bool untouched_since(struct turn *turn, const char *serial, int64_t last_seq, struct fault *fault)
{
    struct later later = {0};
    if (!ledger_each_of_unit(turn->ledger, serial, last_seq, look_later, &later, fault))
        return false;
    return later.seq == 0 || fault_set(fault, FAULT_REFUSED, "%s was moved since (movement %lld): undo that first",
                                       serial, (long long)later.seq);
}

/* Puts one unit back to what it was before the act. Its label stays: what was proved since stays proved. */
static bool take_back_unit(struct turn *turn, const struct undone_act *act, const char *serial, struct fault *fault)
{
    int64_t first = 0;
    for (size_t i = act->count; i-- > 0;)
        if (strcmp(act->movements[i].unit, serial) == 0 && touches_unit(act->movements[i].kind))
            first = act->movements[i].seq;
    struct unit now, before;
    bool found, existed;
    if (!unit_load(turn->ledger, serial, &now, &found, fault) ||
        !apply_unit_before(turn->ledger, serial, first, &before, &existed, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_STORAGE, "unit '%s' is missing: run 'ambershelf verify'", serial);
    if (!existed) { /* it came in by this act: it never was */
        before = now;
        before.status = UNIT_VOID;
    }
    before.labelled = now.labelled;
    before.prints = now.prints;
    struct movement correction;
    movement_init(&correction, MOVEMENT_CORRECTION);
    return apply_write_correction(&before, first, &correction, fault) && turn_book(turn, &correction, fault);
}

static bool withdraw_print(struct turn *turn, const struct movement *ordered, struct fault *fault)
{
    struct print print;
    bool found;
    if (!print_load(turn->ledger, ordered->unit, ordered->place, ordered->pieces, &print, &found, fault))
        return false;
    if (!found || print.state != PRINT_WAITING)
        return true;
    struct movement failed;
    movement_init(&failed, MOVEMENT_PRINT);
    turn_copy(failed.unit, sizeof failed.unit, ordered->unit);
    turn_copy(failed.place, sizeof failed.place, ordered->place);
    turn_copy(failed.word, sizeof failed.word, print_state_word(PRINT_FAILED));
    failed.pieces = ordered->pieces;
    failed.refers = ordered->seq;
    return turn_book(turn, &failed, fault);
}

/* The counter-movement of a job's or a delivery's step. */
static bool book_back(struct turn *turn, const struct movement *done, enum movement_kind kind, struct fault *fault)
{
    struct movement back;
    movement_init(&back, kind);
    turn_copy(back.job, sizeof back.job, done->job);
    turn_copy(back.printer, sizeof back.printer, done->printer);
    turn_copy(back.delivery, sizeof back.delivery, done->delivery);
    back.refers = done->seq;
    return turn_book(turn, &back, fault);
}

/* The job of a check-out that is taken back ends, unless something else went out for it since. */
static bool take_back_job_start(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct job job;
    bool found, empty;
    if (!job_load(turn->ledger, done->job, &job, &found, fault))
        return false;
    if (!found || job.ended_ms != MOVEMENT_NULL)
        return true;
    return job_is_empty(turn, &job, &empty, fault) && (!empty || book_back(turn, done, MOVEMENT_JOB_END, fault));
}

static bool take_back_question(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct question question;
    bool found;
    if (!question_load(turn->ledger, done->seq, &question, &found, fault))
        return false;
    if (!found || !question.open)
        return true; /* the storekeeper was quicker */
    struct movement back;
    movement_init(&back, MOVEMENT_SETTLEMENT);
    turn_copy(back.unit, sizeof back.unit, done->unit);
    turn_copy(back.word, sizeof back.word, "undone");
    back.refers = done->seq;
    return turn_book(turn, &back, fault);
}

/* The counter works with the delivery again, or no more. */
static bool take_back_delivery(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool opened = done->kind == MOVEMENT_DELIVERY_OPEN;
    if (!book_back(turn, done, opened ? MOVEMENT_DELIVERY_CLOSE : MOVEMENT_DELIVERY_OPEN, fault))
        return false;
    if (!opened)
        turn_copy(counter->delivery, sizeof counter->delivery, done->delivery);
    else if (strcmp(counter->delivery, done->delivery) == 0)
        counter->delivery[0] = '\0';
    return true;
}

static bool take_back_other(struct turn *turn, const struct movement *done, struct fault *fault)
{
    switch (done->kind) {
    case MOVEMENT_JOB_START:
        return take_back_job_start(turn, done, fault);
    case MOVEMENT_JOB_END:
        return book_back(turn, done, MOVEMENT_JOB_START, fault);
    case MOVEMENT_DELIVERY_OPEN:
    case MOVEMENT_DELIVERY_CLOSE:
        return take_back_delivery(turn, done, fault);
    case MOVEMENT_QUESTION:
        return take_back_question(turn, done, fault);
    case MOVEMENT_PRINT:
        return undone_is_later_print(done) || withdraw_print(turn, done, fault);
    default:
        return true; /* entries stay: they are replaced by a new entry */
    }
}

static bool stop_at_first(const struct unit *unit, void *context)
{
    bool *any = context;
    (void)unit;
    *any = true;
    return false;
}

/* What stands in the way of one movement. Looked at before anything is booked, so that a refusal is a sentence. */
static bool may_take_back(struct turn *turn, const struct undone_act *act, const struct movement *done,
                          struct fault *fault)
{
    struct job running;
    struct delivery delivery = {.open = false};
    bool found, used = false;
    if (touches_unit(done->kind))
        return untouched_since(turn, done->unit, act->movements[act->count - 1].seq, fault);
    switch (done->kind) {
    case MOVEMENT_JOB_END:
        return job_load_running(turn->ledger, done->printer, &running, &found, fault) &&
               (!found ||
                fault_set(fault, FAULT_REFUSED, "printer %s has another job since: undo that first", done->printer));
    case MOVEMENT_DELIVERY_OPEN:
    case MOVEMENT_DELIVERY_CLOSE:
        if (!delivery_load(turn->ledger, done->delivery, &delivery, &found, fault))
            return false;
        if (!found || delivery.open != (done->kind == MOVEMENT_DELIVERY_OPEN))
            return fault_set(fault, FAULT_REFUSED, "delivery %s was %s since: undo that first", done->delivery,
                             delivery.open ? "opened again" : "closed");
        if (done->kind == MOVEMENT_DELIVERY_OPEN &&
            !unit_each(turn->ledger, UNIT_BY_DELIVERY, done->delivery, "", 1, stop_at_first, &used, fault))
            return false;
        return !used || fault_set(fault, FAULT_REFUSED, "things were received from delivery %s: undo that first",
                                  done->delivery);
    default:
        return true;
    }
}

bool undone_act_may(struct turn *turn, const struct undone_act *act, struct fault *fault)
{
    for (size_t i = 0; i < act->count; i++)
        if (!may_take_back(turn, act, &act->movements[i], fault))
            return false;
    return true;
}

bool undone_act_take_back(struct turn *turn, const struct undone_act *act, struct fault *fault)
{
    for (size_t i = act->count; i-- > 0;) {
        const struct movement *done = &act->movements[i];
        if (!touches_unit(done->kind)) {
            if (!take_back_other(turn, done, fault))
                return false;
            continue;
        }
        bool later_in_act = false; /* one correction a unit, at its newest movement */
        for (size_t j = i + 1; j < act->count; j++)
            later_in_act = later_in_act ||
                           (touches_unit(act->movements[j].kind) && strcmp(act->movements[j].unit, done->unit) == 0);
        if (!later_in_act && !take_back_unit(turn, act, done->unit, fault))
            return false;
    }
    return true;
}
