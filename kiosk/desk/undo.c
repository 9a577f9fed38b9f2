#include "kiosk/desk/undo.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/catalogue.h"

enum { UNDO_MOVEMENTS = 1024 }; /* a receipt of 200 books 401 */

struct undone_act {
    struct movement *movements; /* owned */
    size_t count;
    bool cut;
};

static bool collect(const struct movement *movement, void *context)
{
    struct undone_act *act = context;
    if (act->count == UNDO_MOVEMENTS) {
        act->cut = true;
        return false;
    }
    act->movements[act->count++] = *movement;
    return true;
}

static bool load_act(struct ledger *ledger, const char *id, struct undone_act *act, struct fault *fault)
{
    *act = (struct undone_act){.movements = calloc(UNDO_MOVEMENTS, sizeof *act->movements)};
    if (!act->movements)
        return fault_set(fault, FAULT_STORAGE, "no memory to undo: try again");
    if (ledger_each_of_act(ledger, id, collect, act, fault))
        return true;
    free(act->movements);
    return false;
}

/* A step of a label that was ordered before: sent, printed, proved. */
static bool is_later_print(const struct movement *movement)
{
    return movement->kind == MOVEMENT_PRINT && strcmp(movement->word, print_state_word(PRINT_WAITING)) != 0;
}

/* Does it take something back itself? UNDO goes past such acts. */
static bool takes_back(const struct movement *movement)
{
    return movement->refers != MOVEMENT_NULL && movement->kind != MOVEMENT_SETTLEMENT;
}

/* What the act did, by its telling movement; NULL when it did nothing that can be taken back. */
static const char *act_words(const struct undone_act *act, const struct movement **telling)
{
    static const struct {
        enum movement_kind kind;
        const char *words;
    } kinds[] = {{MOVEMENT_CHECK_OUT, "check-out of"},
                 {MOVEMENT_CHECK_IN, "check-in of"},
                 {MOVEMENT_RECEIPT, "receipt of"},
                 {MOVEMENT_TAKE_ON, "take-on of"},
                 {MOVEMENT_PUT_AWAY, "put-away of"},
                 {MOVEMENT_RELEASE, "release of"},
                 {MOVEMENT_HOLD, "hold on"},
                 {MOVEMENT_DELIVERY_OPEN, "opening of a delivery"},
                 {MOVEMENT_DELIVERY_CLOSE, "closing of a delivery"},
                 {MOVEMENT_PRINT, "order of a label for"}};
    for (size_t i = 0; i < act->count; i++)
        if (takes_back(&act->movements[i]))
            return NULL;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        for (size_t i = 0; i < act->count; i++)
            if (act->movements[i].kind == kinds[k].kind && !is_later_print(&act->movements[i])) {
                *telling = &act->movements[i];
                return kinds[k].words;
            }
    return NULL;
}

static bool person_name(struct ledger *ledger, const char *serial, char *name, size_t size, struct fault *fault)
{
    struct person person;
    bool found = false;
    if (serial[0] != '\0' && !person_load(ledger, serial, &person, &found, fault))
        return false;
    (void)span_copy(span_of(found && person.name[0] ? person.name : serial), name, size);
    return true;
}

static bool describe(struct ledger *ledger, const struct undone_act *act, char *sentence, size_t size,
                     struct fault *fault)
{
    const struct movement *telling = NULL;
    const char *words = act_words(act, &telling);
    sentence[0] = '\0';
    if (!words)
        return true;
    char name[NAME_SIZE];
    if (!person_name(ledger, telling->person, name, sizeof name, fault))
        return false;
    size_t same = 0;
    for (size_t i = 0; i < act->count; i++)
        same += act->movements[i].kind == telling->kind;
    struct builder out;
    builder_init(&out, sentence, size);
    builder_addf(&out, "%s%s%s", name, name[0] ? ": " : "", words);
    if (same > 1)
        builder_addf(&out, " %zu things", same);
    else if (telling->unit[0] != '\0' || telling->kind == MOVEMENT_PRINT)
        builder_addf(&out, " %s", telling->unit[0] != '\0' ? telling->unit : telling->place);
    if (telling->printer[0] != '\0')
        builder_addf(&out, " (%s)", telling->printer);
    text_end_whole(sentence);
    return true;
}

/* Leaves `*row` null when the act can't be taken back. */
static bool offer(struct ledger *ledger, const char *id, json_t **row, struct fault *fault)
{
    struct undone_act act;
    char sentence[160];
    if (!load_act(ledger, id, &act, fault))
        return false;
    const bool done = describe(ledger, &act, sentence, sizeof sentence, fault);
    free(act.movements);
    if (done && sentence[0] != '\0')
        *row = json_pack("{s:s,s:s}", "act", id, "sentence", sentence);
    return done;
}

/* The counter's newest act that can be taken back; `id` "" and `*row` null when there is none. */
static bool last_undoable(struct ledger *ledger, const char *counter, char id[ACT_ID_SIZE], json_t **row,
                          struct fault *fault)
{
    struct act_row last;
    bool found;
    id[0] = '\0';
    *row = json_null();
    if (!act_row_last(ledger, counter, &last, &found, fault) || (found && !offer(ledger, last.id, row, fault)))
        return false;
    if (!json_is_null(*row))
        turn_copy(id, ACT_ID_SIZE, last.id);
    return true;
}

bool undo_view(struct ledger *ledger, const char *counter, const char *act_now, json_t **row, struct fault *fault)
{
    *row = json_null();
    if (counter[0] == '\0')
        return true;
    if (act_now[0] != '\0' && !offer(ledger, act_now, row, fault))
        return false;
    if (!json_is_null(*row))
        return true;
    char id[ACT_ID_SIZE];
    return last_undoable(ledger, counter, id, row, fault);
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

/* Labels may be printed and proved without anybody having used the thing: that does not stand in the way. */
struct later {
    int64_t seq;
};

static bool look_later(const struct movement *movement, void *context)
{
    struct later *later = context;
    if (movement->kind == MOVEMENT_PRINT || movement->kind == MOVEMENT_QUESTION ||
        movement->kind == MOVEMENT_SETTLEMENT)
        return true;
    later->seq = movement->seq;
    return false;
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
        return is_later_print(done) || withdraw_print(turn, done, fault);
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

static bool all_may_be_taken_back(struct turn *turn, const struct undone_act *act, struct fault *fault)
{
    for (size_t i = 0; i < act->count; i++)
        if (!may_take_back(turn, act, &act->movements[i], fault))
            return false;
    return true;
}

static bool take_back(struct turn *turn, const struct undone_act *act, struct fault *fault)
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

static bool undo(struct turn *turn, const char *id, struct fault *fault)
{
    struct act_row row;
    struct undone_act act;
    bool found;
    char sentence[160];
    if (!act_row_find(turn->ledger, id, &row, NULL, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "act '%s' is not known: nothing to undo", id);
    if (row.undone)
        return fault_set(fault, FAULT_REFUSED, "that act was taken back already");
    if (!load_act(turn->ledger, id, &act, fault))
        return false;
    bool done = describe(turn->ledger, &act, sentence, sizeof sentence, fault);
    if (done && (act.count == 0 || act.cut || sentence[0] == '\0'))
        done = fault_set(fault, FAULT_REFUSED, "that act can't be taken back: enter it anew the right way");
    done = done && all_may_be_taken_back(turn, &act, fault) && take_back(turn, &act, fault) &&
           act_row_mark_undone(turn->ledger, id, fault);
    free(act.movements);
    if (!done)
        return false;
    counter_clear_group(&turn->counter);
    counter_say(&turn->counter, "Taken back: %s.", sentence);
    return true;
}

/* A refusal is a sentence on the screen, not a failed act. */
static bool undo_or_say(struct turn *turn, const char *id, struct fault *fault)
{
    struct fault why = {0};
    if (undo(turn, id, &why))
        return true;
    if (why.code != FAULT_REFUSED && why.code != FAULT_MISSING) {
        if (fault)
            *fault = why;
        return false;
    }
    if (turn->booked) { /* half of it is in the savepoint: let the writer roll it back */
        if (fault)
            *fault = why;
        return false;
    }
    counter_object(&turn->counter, REASON_UNREADABLE, "", "Not taken back: %s.", why.text);
    return true;
}

bool undo_card(struct turn *turn, struct fault *fault)
{
    char id[ACT_ID_SIZE];
    json_t *offered = NULL;
    if (!last_undoable(turn->ledger, turn->counter.name, id, &offered, fault))
        return false;
    json_decref(offered);
    if (id[0] == '\0') {
        counter_say(&turn->counter, "There is nothing to undo at this counter.");
        return true;
    }
    struct undone_act act;
    char sentence[160];
    if (!load_act(turn->ledger, id, &act, fault))
        return false;
    const bool anothers = act.count > 0 && turn->person[0] != '\0' && act.movements[0].person[0] != '\0' &&
                          strcmp(act.movements[0].person, turn->person) != 0;
    const bool done = describe(turn->ledger, &act, sentence, sizeof sentence, fault);
    free(act.movements);
    if (!done)
        return false;
    if (!anothers)
        return undo_or_say(turn, id, fault);
    turn_copy(turn->counter.undo_asked, sizeof turn->counter.undo_asked, id);
    counter_ask(&turn->counter, "Take back what another person did? %s.", sentence);
    return true;
}

bool undo_confirm(struct turn *turn, struct fault *fault)
{
    char id[ACT_ID_SIZE];
    turn_copy(id, sizeof id, turn->counter.undo_asked);
    turn->counter.undo_asked[0] = '\0';
    return undo_or_say(turn, id, fault);
}

bool undo_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"act", NULL};
    struct turn turn;
    char id[ACT_ID_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_text(context->act->content, "act", CONTENT_OPTIONAL, id, sizeof id, fault))
        return false;
    if (id[0] == '\0') {
        json_t *offered = NULL;
        if (!last_undoable(turn.ledger, turn.counter.name, id, &offered, fault))
            return false;
        json_decref(offered);
        if (id[0] == '\0')
            return fault_set(fault, FAULT_MISSING, "there is nothing to undo at this counter");
    }
    return undo(&turn, id, fault) && turn_answer(&turn, answer, fault);
}
