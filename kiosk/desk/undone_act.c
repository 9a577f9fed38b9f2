#include "kiosk/desk/undone_act.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/job_end.h"
#include "kiosk/desk/job_late.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/job_ticket.h"
#include "kiosk/desk/undone_print.h"
#include "kiosk/ledger/apply.h"

struct collecting {
    struct undone_act act;
    size_t most, room; /* in act.movements */
    bool no_memory;
};

/* A movement is large and most acts book two: the list grows as it is filled. */
static bool make_room(struct collecting *collecting)
{
    const size_t room = collecting->room ? collecting->room * 2 : 4;
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
    if (act->count == collecting->most) {
        act->cut = true;
        return false;
    }
    if (act->count == collecting->room && !make_room(collecting))
        return false;
    act->movements[act->count++] = *movement;
    return true;
}

bool undone_act_load(struct ledger *ledger, const char *id, size_t most, struct undone_act *act, struct fault *fault)
{
    struct collecting collecting = {.most = most};
    bool read = ledger_each_of_act(ledger, id, collect, &collecting, fault);
    if (read && collecting.no_memory)
        read = fault_set(fault, FAULT_STORAGE, "no memory to undo: try again");
    if (read)
        *act = collecting.act;
    else
        free(collecting.act.movements);
    return read;
}

bool undone_is_print(const struct movement *movement, enum print_state state)
{
    return movement->kind == MOVEMENT_PRINT && strcmp(movement->word, print_state_word(state)) == 0;
}

/* What came in by the act that is taken back never was: it keeps what it would have been, as its label may turn up, and
 * stands nowhere, with nobody, for nobody. */
static struct unit_state never_was(const struct unit *now)
{
    struct unit_state state = {.unit = *now, .mix = ""};
    struct unit *unit = &state.unit;
    unit->status = UNIT_VOID;
    unit->place[0] = unit->holder[0] = unit->printer[0] = unit->job[0] = unit->hold[0] = '\0';
    unit->reserved[0] = unit->pair[0] = '\0';
    unit->out_since_ms = unit->due = unit->reserved_until = MOVEMENT_NULL;
    return state;
}

/* Puts one unit back to what it was before movement `first`. Its label stays: what was proved since stays proved. */
static bool take_back_unit(struct turn *turn, const char *serial, int64_t first, struct fault *fault)
{
    struct unit now;
    struct unit_state before;
    bool found, existed;
    if (!unit_load(turn->ledger, serial, &now, &found, fault) ||
        !apply_unit_before(turn->ledger, serial, first, &before, &existed, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_STORAGE, "unit '%s' is missing: run 'ambershelf verify'", serial);
    if (!existed)
        before = never_was(&now);
    before.unit.labelled = now.labelled;
    before.unit.prints = now.prints;
    struct movement correction;
    movement_init(&correction, MOVEMENT_CORRECTION);
    return apply_write_correction(&before, first, &correction, fault) && turn_book(turn, &correction, fault);
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

/* The job of a check-out that is taken back ends, or waits again when it was planned, unless something else went out
 * for it since. */
static bool take_back_job_start(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct job job;
    struct movement plan;
    bool found, empty, planned;
    if (!job_load(turn->ledger, done->job, &job, &found, fault))
        return false;
    if (!found || job.ended_ms != MOVEMENT_NULL)
        return true;
    if (!job_is_empty(turn, &job, &empty, fault) || !job_plan_was(turn->ledger, &job, &plan, &planned, fault))
        return false;
    if (!empty)
        return true;
    return planned ? job_plan_take_up(turn, &job, done, fault) : book_back(turn, done, MOVEMENT_JOB_END, fault);
}

/* What was planned is withdrawn, what was withdrawn is planned again; unless it went on since. */
static bool take_back_plan(struct turn *turn, const struct movement *done, struct fault *fault)
{
    struct job job;
    bool found;
    if (!job_load(turn->ledger, done->job, &job, &found, fault))
        return false;
    if (!found || job.started_ms != MOVEMENT_NULL)
        return true;
    if (done->kind == MOVEMENT_JOB_DROP)
        return job.ended_ms == MOVEMENT_NULL || job_plan_take_up(turn, &job, done, fault);
    if (job.ended_ms != MOVEMENT_NULL)
        return true;
    struct movement back;
    movement_init(&back, MOVEMENT_JOB_DROP);
    turn_copy(back.job, sizeof back.job, done->job);
    turn_copy(back.printer, sizeof back.printer, done->printer);
    turn_copy(back.word, sizeof back.word, "dropped");
    back.refers = done->seq;
    return turn_book(turn, &back, fault) && job_plan_drop_ticket(turn, &job, fault);
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
    case MOVEMENT_JOB_TICKET:
        return job_ticket_take_back(turn, done, fault);
    case MOVEMENT_JOB_PLAN:
    case MOVEMENT_JOB_DROP:
        return take_back_plan(turn, done, fault);
    case MOVEMENT_JOB_END:
        if (job_late_is_told(done))
            return job_late_take_back(turn, done, fault);
        return book_back(turn, done, MOVEMENT_JOB_START, fault);
    case MOVEMENT_DELIVERY_OPEN:
    case MOVEMENT_DELIVERY_CLOSE:
        return take_back_delivery(turn, done, fault);
    case MOVEMENT_QUESTION:
        return take_back_question(turn, done, fault);
    case MOVEMENT_PRINT:
    case MOVEMENT_PRINT_MOVE:
        return undone_print_take_back(turn, done, fault);
    default:
        return true; /* entries stay: they are replaced by a new entry */
    }
}

/* One correction a unit, at its newest movement, to before its first: a list by unit, as a receipt may hold thousands.
 */
struct touch {
    const char *unit;
    int64_t seq;
};

static int compare_touches(const void *one, const void *two)
{
    const struct touch *a = one, *b = two;
    const int units = strcmp(a->unit, b->unit);
    return units ? units : (a->seq > b->seq) - (a->seq < b->seq);
}

static int compare_units(const void *one, const void *two)
{
    return strcmp(((const struct touch *)one)->unit, ((const struct touch *)two)->unit);
}

struct touches {
    struct touch *list;
    size_t count;
};

static void list_units(const struct movement *movement, struct touches *touches)
{
    const char *units[2];
    const size_t count = movement_changes(movement, units);
    for (size_t i = 0; i < count; i++)
        touches->list[touches->count++] = (struct touch){units[i], movement->seq};
}

static bool list_touches(const struct undone_act *act, struct touches *touches, struct fault *fault)
{
    *touches = (struct touches){.list = malloc((2 * act->count + 1) * sizeof *touches->list)};
    if (!touches->list)
        return fault_set(fault, FAULT_STORAGE, "no memory to undo: try again");
    for (size_t i = 0; i < act->count; i++)
        list_units(&act->movements[i], touches);
    qsort(touches->list, touches->count, sizeof *touches->list, compare_touches);
    return true;
}

/* The first and the last movement of the act that touched this unit. */
static void find_touches(const struct touches *touches, const char *unit, int64_t *first, int64_t *last)
{
    const struct touch key = {unit, 0};
    const struct touch *found = bsearch(&key, touches->list, touches->count, sizeof key, compare_units);
    const struct touch *from = found, *to = found;
    while (from > touches->list && strcmp(from[-1].unit, unit) == 0)
        from--;
    while (to + 1 < touches->list + touches->count && strcmp(to[1].unit, unit) == 0)
        to++;
    *first = from->seq;
    *last = to->seq;
}

/* Each unit once, at the last movement that changed it. */
static bool take_back_touched(struct turn *turn, const struct touches *touches, const struct movement *movement,
                              const char *serial, struct fault *fault)
{
    int64_t first, last;
    find_touches(touches, serial, &first, &last);
    return movement->seq != last || take_back_unit(turn, serial, first, fault);
}

bool undone_act_take_back(struct turn *turn, const struct undone_act *act, struct fault *fault)
{
    struct touches touches;
    bool done = list_touches(act, &touches, fault);
    for (size_t i = act->count; done && i-- > 0;) {
        const struct movement *movement = &act->movements[i];
        const char *units[2];
        const size_t changed = movement_changes(movement, units);
        for (size_t j = 0; done && j < changed; j++)
            done = take_back_touched(turn, &touches, movement, units[j], fault);
        if (changed == 0)
            done = take_back_other(turn, movement, fault);
    }
    free(touches.list);
    return done;
}
