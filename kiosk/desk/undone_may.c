#include <string.h>

#include "kiosk/desk/job_late.h"
#include "kiosk/desk/undone_act.h"

/* What stands in the way of taking an act back. */

struct later {
    int64_t seq; /* of the first movement since that still stands, 0: none */
};

static bool is_about_its_label(enum movement_kind kind)
{
    return kind == MOVEMENT_PRINT || kind == MOVEMENT_PRINT_MOVE || kind == MOVEMENT_PRINT_TELL;
}

/* Labels may be printed and proved without anybody having used the thing, and a cartridge put in beside it: that does
 * not stand in the way. A correction puts the thing back to before what it refers to, so all from there on stands no
 * more. */
static bool look_later(const struct movement *movement, void *context)
{
    struct later *later = context;
    if (movement->kind == MOVEMENT_CORRECTION) {
        if (later->seq >= movement->refers)
            later->seq = 0;
    } else if (later->seq == 0 && !is_about_its_label(movement->kind) && movement->kind != MOVEMENT_QUESTION &&
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

static bool stop_at_first(const struct unit *unit, void *context)
{
    bool *any = context;
    (void)unit;
    *any = true;
    return false;
}

static bool starts_too(const struct undone_act *act, const char *job)
{
    for (size_t i = 0; i < act->count; i++)
        if (act->movements[i].kind == MOVEMENT_JOB_START && strcmp(act->movements[i].job, job) == 0)
            return true;
    return false;
}

struct went_since {
    const struct undone_act *act;
    const char *job;
    char unit[SERIAL_SIZE]; /* "" none */
};

static bool look_for_other(const struct unit *unit, void *context)
{
    struct went_since *since = context;
    bool mine = strcmp(unit->job, since->job) != 0;
    for (size_t i = 0; i < since->act->count && !mine; i++)
        mine = strcmp(since->act->movements[i].unit, unit->serial) == 0;
    if (!mine)
        turn_copy(since->unit, sizeof since->unit, unit->serial);
    return mine;
}

/* The job that this act began instead goes on while something else is out for it: two would run there. */
static bool nothing_went_since(struct turn *turn, const struct undone_act *act, const struct job *running,
                               struct fault *fault)
{
    struct went_since since = {.act = act, .job = running->id};
    return unit_each(turn->ledger, UNIT_BY_PRINTER, running->machine, "", INT64_MAX, look_for_other, &since, fault) &&
           (since.unit[0] == '\0' ||
            fault_set(fault, FAULT_REFUSED, "%s went to %s for the same job since: undo that first", since.unit,
                      running->machine));
}

struct other_job {
    const struct undone_act *act;
    struct job job;
    bool found;
};

/* One that is open, and not by this act: what this made of it is taken back along. */
static bool look_for_job(const struct job *job, void *context)
{
    struct other_job *other = context;
    bool mine = false;
    for (size_t i = 0; i < other->act->count && !mine; i++) {
        const struct movement *movement = &other->act->movements[i];
        mine = strcmp(movement->job, job->id) == 0 &&
               (movement->kind == MOVEMENT_JOB_PLAN || movement->kind == MOVEMENT_JOB_TICKET);
    }
    if (!mine)
        other->job = *job;
    other->found = !mine;
    return mine;
}

/* Two plans of one code, or a plan beside its job, would be one too many. */
static bool may_take_back_drop(struct turn *turn, const struct undone_act *act, const struct movement *done,
                               struct fault *fault)
{
    struct other_job other = {.act = act, .found = false};
    struct job dropped;
    bool known;
    if (!job_load(turn->ledger, done->job, &dropped, &known, fault))
        return false;
    if (!known || dropped.code[0] == '\0')
        return true;
    if (!job_each_planned_of_code(turn->ledger, dropped.code, look_for_job, &other, fault))
        return false;
    if (other.found)
        return strcmp(other.job.id, dropped.id) == 0 ||
               fault_set(fault, FAULT_REFUSED, "job %s was planned anew since, on %s: withdraw that plan first",
                         dropped.code, other.job.machine);
    return job_each_running_of_code(turn->ledger, dropped.code, look_for_job, &other, fault) &&
           (!other.found || strcmp(other.job.id, dropped.id) == 0 ||
            fault_set(fault, FAULT_REFUSED, "job %s runs on %s since: undo that first", dropped.code,
                      other.job.machine));
}

/* The end of a job that was over already is a word about it, and nothing stands in its way. */
static bool may_take_back_end(struct turn *turn, const struct undone_act *act, const struct movement *done,
                              struct fault *fault)
{
    struct job running, ended;
    bool found, known;
    if (job_late_is_told(done))
        return true;
    if (!job_load(turn->ledger, done->job, &ended, &known, fault) ||
        !job_load_running(turn->ledger, done->printer, &running, &found, fault))
        return false;
    if (found && !starts_too(act, running.id))
        return fault_set(fault, FAULT_REFUSED, "printer %s has another job since: undo that first", done->printer);
    if (found && !nothing_went_since(turn, act, &running, fault))
        return false;
    return !known || done->word[0] != '\0' || ended.outcome[0] == '\0' ||
           fault_set(fault, FAULT_REFUSED, "how the job on %s ended was told since: undo that first", done->printer);
}

/* What stands in the way of one movement. Looked at before anything is booked, so that a refusal is a sentence. */
static bool may_take_back(struct turn *turn, const struct undone_act *act, const struct movement *done,
                          struct fault *fault)
{
    struct job running = {.started_ms = MOVEMENT_NULL, .ended_ms = MOVEMENT_NULL};
    struct delivery delivery = {.open = false};
    const char *units[2];
    const size_t changed = movement_changes(done, units);
    bool found, used = false;
    for (size_t i = 0; i < changed; i++)
        if (!untouched_since(turn, units[i], act->movements[act->count - 1].seq, fault))
            return false;
    switch (done->kind) {
    case MOVEMENT_JOB_PLAN: /* in the same act it may have begun, at a check-out of a ticket that nobody had told of */
        return job_load(turn->ledger, done->job, &running, &found, fault) &&
               (running.started_ms == MOVEMENT_NULL || starts_too(act, done->job) ||
                fault_set(fault, FAULT_REFUSED, "job %s has begun since: undo that first", running.code));
    case MOVEMENT_JOB_DROP:
        return may_take_back_drop(turn, act, done, fault);
    case MOVEMENT_JOB_TICKET:
        return job_load(turn->ledger, done->job, &running, &found, fault) &&
               (running.ended_ms == MOVEMENT_NULL ||
                fault_set(fault, FAULT_REFUSED, "the job on %s has ended since: undo that first", done->printer));
    case MOVEMENT_JOB_END:
        return may_take_back_end(turn, act, done, fault);
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
