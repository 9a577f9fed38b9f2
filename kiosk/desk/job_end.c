#include "kiosk/desk/job_end.h"

#include <string.h>

#include "kiosk/rules/check_out.h"

enum { MS_A_MINUTE = 60000 };

struct still_out {
    const char *job;
    int64_t count;
};

static bool count_still_out(const struct unit *unit, void *context)
{
    struct still_out *still = context;
    still->count += strcmp(unit->job, still->job) == 0;
    return true;
}

bool job_is_empty(struct turn *turn, const struct job *job, bool *empty, struct fault *fault)
{
    struct still_out still = {.job = job->id};
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, job->machine, "", INT64_MAX, count_still_out, &still, fault))
        return false;
    *empty = still.count == 0;
    return true;
}

/* By the clock. */
static int64_t minutes_of(const struct turn *turn, const struct job *job)
{
    const int64_t now = turn->act->moment.wall.ms;
    return turn->act->moment.trusted && now >= job->started_ms ? (now - job->started_ms + MS_A_MINUTE / 2) / MS_A_MINUTE
                                                               : MOVEMENT_NULL;
}

bool job_end_book(struct turn *turn, const struct job *job, const char *how, int64_t used_ul, struct fault *fault)
{
    struct movement end;
    movement_init(&end, MOVEMENT_JOB_END);
    turn_copy(end.job, sizeof end.job, job->id);
    turn_copy(end.printer, sizeof end.printer, job->machine);
    turn_copy(end.word, sizeof end.word, how);
    end.amount_ul = used_ul;
    end.minutes = minutes_of(turn, job);
    const char *device = turn->act->act->device;
    struct builder detail;
    builder_init(&detail, end.detail, sizeof end.detail);
    if (device[0] != '\0')
        builder_addf(&detail, "{\"device\":\"%s\"}", device); /* a keyword: nothing in it needs to be escaped */
    return turn_book(turn, &end, fault);
}

bool job_held_book(struct turn *turn, const struct job *job, const char *unit, struct job_held *held,
                   struct fault *fault)
{
    struct movement hold;
    movement_init(&hold, MOVEMENT_HOLD);
    turn_copy(hold.unit, sizeof hold.unit, unit);
    turn_copy(hold.word, sizeof hold.word, CHECK_OUT_TO_INSPECT);
    turn_copy(hold.printer, sizeof hold.printer, job->machine);
    turn_copy(hold.job, sizeof hold.job, job->id);
    turn_copy(held->units[held->count++], SERIAL_SIZE, unit);
    return turn_book(turn, &hold, fault);
}

static bool stop_at_first(const struct unit *unit, void *context)
{
    bool *any = context;
    (void)unit;
    *any = true;
    return false;
}

bool job_end_when_empty(struct turn *turn, const char *machine, struct fault *fault)
{
    struct job job;
    bool found, any = false;
    if (machine[0] == '\0')
        return true;
    if (!job_load_running(turn->ledger, machine, &job, &found, fault))
        return false;
    if (!found)
        return true;
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, machine, "", 1, stop_at_first, &any, fault))
        return false;
    return any || job_end_book(turn, &job, "", MOVEMENT_NULL, fault);
}
