#include "kiosk/desk/job_late.h"

#include <string.h>

#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/unit.h"

enum { LOOKED_AT = 8, NAMED = 4, UL_A_ML = 1000 };

/* ---- which job ---- */

static bool take_one(const struct movement *movement, void *context)
{
    *(struct movement *)context = *movement;
    return false;
}

/* The movement that ended it: a check-in ends it without a word; so does taking back the check-out that opened it, and
 * then there never was a job. */
bool job_late_may_be_told(struct turn *turn, const struct job *job, bool *may, struct fault *fault)
{
    struct movement end;
    movement_init(&end, MOVEMENT_QUESTION);
    *may = false;
    if (job->ended_ms == MOVEMENT_NULL || job->outcome[0] != '\0')
        return true;
    if (!ledger_each(turn->ledger, job->version - 1, 1, take_one, &end, fault))
        return false;
    *may = end.kind == MOVEMENT_JOB_END && (end.refers == MOVEMENT_NULL || job_late_is_told(&end));
    return true;
}

struct ended {
    const char *machine; /* "" any */
    struct job jobs[LOOKED_AT];
    size_t count;
};

static bool collect_ended(const struct job *job, void *context)
{
    struct ended *ended = context;
    if (ended->machine[0] == '\0' || strcmp(ended->machine, job->machine) == 0)
        ended->jobs[ended->count++] = *job;
    return ended->count < LOOKED_AT;
}

/* The last of them that was a job at all, when nobody has said how it ended. */
static bool last_untold(struct turn *turn, const struct ended *ended, struct job *job, bool *found, struct fault *fault)
{
    *found = false;
    for (size_t i = 0; !*found && i < ended->count && ended->jobs[i].outcome[0] == '\0'; i++) {
        if (!job_late_may_be_told(turn, &ended->jobs[i], found, fault))
            return false;
        if (*found)
            *job = ended->jobs[i];
    }
    return true;
}

bool job_late_find(struct turn *turn, const char *machine, struct job *job, bool *found, struct fault *fault)
{
    struct ended ended = {.machine = machine};
    return job_each_ended_of_machine(turn->ledger, machine, LOOKED_AT, collect_ended, &ended, fault) &&
           last_untold(turn, &ended, job, found, fault);
}

bool job_late_find_code(struct turn *turn, const char *code, const char *machine, struct job *job, bool *found,
                        struct fault *fault)
{
    struct ended ended = {.machine = machine};
    return job_each_ended_of_code(turn->ledger, code, INT64_MAX, collect_ended, &ended, fault) &&
           last_untold(turn, &ended, job, found, fault);
}

/* ---- what was in its printer ---- */

struct was_there {
    char serial[SERIAL_SIZE];
    int64_t seq;      /* of the movement that brought it back, or took it there */
    bool amount_said; /* when it came back, or that nobody knows */
};

struct leavings {
    const struct job *job;
    struct was_there list[COUNTER_UNITS];
    size_t count;
    bool runs; /* at the movement that is looked at */
};

static struct was_there *find_or_add(struct leavings *leavings, const char *serial)
{
    for (size_t i = 0; i < leavings->count; i++)
        if (strcmp(leavings->list[i].serial, serial) == 0)
            return &leavings->list[i];
    if (leavings->count == COUNTER_UNITS)
        return NULL;
    struct was_there *added = &leavings->list[leavings->count++];
    *added = (struct was_there){.seq = 0};
    turn_copy(added->serial, sizeof added->serial, serial);
    return added;
}

/* An end that is taken back is a start; a start that is, a plan, and then nothing had been for it. */
static void note_course(const struct movement *movement, struct leavings *leavings)
{
    if (movement->kind == MOVEMENT_JOB_START)
        leavings->runs = true;
    if (movement->kind == MOVEMENT_JOB_END || movement->kind == MOVEMENT_JOB_PLAN)
        leavings->runs = false;
    if (movement->kind == MOVEMENT_JOB_PLAN)
        leavings->count = 0;
}

/* What was taken to it, and what came back out of its printer while it ran, which may have stood there before. */
static bool look(const struct movement *movement, void *context)
{
    struct leavings *leavings = context;
    const bool back = movement->kind == MOVEMENT_CHECK_IN && strcmp(movement->printer, leavings->job->machine) == 0;
    const bool taken = movement->kind == MOVEMENT_CHECK_OUT && strcmp(movement->job, leavings->job->id) == 0;
    if (strcmp(movement->job, leavings->job->id) == 0)
        note_course(movement, leavings);
    struct was_there *unit = (back || taken) && leavings->runs ? find_or_add(leavings, movement->unit) : NULL;
    if (unit) {
        unit->seq = movement->seq;
        unit->amount_said =
            back && (movement->amount_ul != MOVEMENT_NULL || movement_detail_flag(movement->detail, "amount_unknown"));
    }
    return true;
}

/* From the act that opened or planned it, which it is known by, to its end. */
static bool gather(struct turn *turn, const struct job *job, struct leavings *leavings, struct fault *fault)
{
    struct act_row opened;
    bool found;
    leavings->job = job;
    leavings->count = 0;
    leavings->runs = false;
    if (!act_row_find(turn->ledger, job->id, &opened, NULL, &found, fault))
        return false;
    return !found || opened.first_seq == MOVEMENT_NULL ||
           ledger_each(turn->ledger, opened.first_seq - 1, job->version - opened.first_seq + 1, look, leavings, fault);
}

/* ---- booking ---- */

static bool since(struct turn *turn, const struct was_there *unit, enum movement_kind kind, bool *done,
                  struct fault *fault)
{
    struct movement last;
    bool found;
    if (!ledger_last_of_unit(turn->ledger, unit->serial, kind, &last, &found, fault))
        return false;
    *done = found && last.seq > unit->seq;
    return true;
}

static bool hold_until_inspected(struct turn *turn, const struct leavings *leavings, struct job_held *held,
                                 struct fault *fault)
{
    for (size_t i = 0; i < leavings->count; i++) {
        const struct was_there *one = &leavings->list[i];
        struct unit unit;
        bool found, seen;
        if (!strchr("VTP", one->serial[0]))
            continue;
        if (!unit_load(turn->ledger, one->serial, &unit, &found, fault) ||
            !since(turn, one, MOVEMENT_INSPECTION, &seen, fault))
            return false;
        if (!found || seen || unit.hold[0] != '\0' || (unit.status != UNIT_IN && unit.status != UNIT_OUT))
            continue;
        if (!job_held_book(turn, leavings->job, one->serial, held, fault))
            return false;
    }
    return true;
}

/* The printer kept its vat's level: what was used came out of the cartridges, if there were any. */
static const char *gave_resin(const struct leavings *leavings)
{
    for (size_t i = 0; i < leavings->count; i++)
        if (leavings->list[i].serial[0] == 'C')
            return "C";
    return "VT";
}

/* Of which things has nobody said since how much is in them? */
static bool list_unsaid(struct turn *turn, const struct leavings *leavings, struct builder *names,
                        char first[SERIAL_SIZE], struct fault *fault)
{
    size_t named = 0;
    for (size_t i = 0; i < leavings->count; i++) {
        const struct was_there *one = &leavings->list[i];
        bool weighed;
        if (!strchr(gave_resin(leavings), one->serial[0]) || one->amount_said)
            continue;
        if (!since(turn, one, MOVEMENT_WEIGHING, &weighed, fault))
            return false;
        if (weighed || named == NAMED)
            continue;
        if (named == 0)
            turn_copy(first, SERIAL_SIZE, one->serial);
        builder_addf(names, "%s%s", named++ == 0 ? "" : ", ", one->serial);
    }
    return true;
}

static bool ask_what_is_left(struct turn *turn, const struct leavings *leavings, int64_t used_ul, struct fault *fault)
{
    const struct job *job = leavings->job;
    char names[NAMED * (SERIAL_SIZE + 2)], first[SERIAL_SIZE] = "", note[COUNTER_TITLE_SIZE];
    struct builder out;
    if (used_ul == MOVEMENT_NULL || used_ul == 0)
        return true;
    builder_init(&out, names, sizeof names);
    if (!list_unsaid(turn, leavings, &out, first, fault))
        return false;
    if (first[0] == '\0')
        return true;
    builder_init(&out, note, sizeof note);
    builder_addf(&out,
                 "Job %s on %s used %g ml, as was told after its printer was emptied; the books of %s do not know of "
                 "it: weigh, or say how much is left.",
                 job->code[0] ? job->code : "without a name", job->machine, (double)used_ul / UL_A_ML, names);
    text_end_whole(note);
    return turn_question(turn, "job-told-late", first, note, fault);
}

static bool write_detail(const char *device, char detail[DETAIL_SIZE], struct fault *fault)
{
    json_t *object = json_pack("{s:i}", "late", 1);
    if (device[0] != '\0')
        (void)json_object_set_new(object, "device", json_string(device));
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}

static bool book_end(struct turn *turn, const struct job *job, const char *how, int64_t used_ul, struct fault *fault)
{
    struct movement end;
    movement_init(&end, MOVEMENT_JOB_END);
    turn_copy(end.job, sizeof end.job, job->id);
    turn_copy(end.printer, sizeof end.printer, job->machine);
    turn_copy(end.word, sizeof end.word, how);
    end.amount_ul = used_ul;
    return write_detail(turn->act->act->device, end.detail, fault) && turn_book(turn, &end, fault);
}

bool job_late_book(struct turn *turn, const struct job *job, const char *how, int64_t used_ul, struct job_held *held,
                   struct fault *fault)
{
    struct leavings leavings;
    return gather(turn, job, &leavings, fault) &&
           (strcmp(how, "done") == 0 || hold_until_inspected(turn, &leavings, held, fault)) &&
           ask_what_is_left(turn, &leavings, used_ul, fault) && book_end(turn, job, how, used_ul, fault);
}

/* ---- taking back ---- */

bool job_late_is_told(const struct movement *end)
{
    return end->kind == MOVEMENT_JOB_END && movement_detail_flag(end->detail, "late");
}

bool job_late_take_back(struct turn *turn, const struct movement *end, struct fault *fault)
{
    struct movement back;
    movement_init(&back, MOVEMENT_JOB_END);
    turn_copy(back.job, sizeof back.job, end->job);
    turn_copy(back.printer, sizeof back.printer, end->printer);
    back.refers = end->seq;
    return write_detail("", back.detail, fault) && turn_book(turn, &back, fault);
}
