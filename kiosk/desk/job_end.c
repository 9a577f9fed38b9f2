#include "kiosk/desk/job_end.h"

#include <string.h>

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

bool job_end_when_empty(struct turn *turn, const char *id, struct fault *fault)
{
    struct job job;
    bool found, empty;
    if (id[0] == '\0')
        return true;
    if (!job_load(turn->ledger, id, &job, &found, fault))
        return false;
    if (!found || job.ended_ms != MOVEMENT_NULL)
        return true;
    if (!job_is_empty(turn, &job, &empty, fault))
        return false;
    if (!empty)
        return true;
    struct movement end;
    movement_init(&end, MOVEMENT_JOB_END);
    turn_copy(end.job, sizeof end.job, id);
    turn_copy(end.printer, sizeof end.printer, job.machine);
    const int64_t now = turn->act->moment.wall.ms;
    if (turn->act->moment.trusted && now >= job.started_ms)
        end.minutes = (now - job.started_ms + MS_A_MINUTE / 2) / MS_A_MINUTE;
    return turn_book(turn, &end, fault);
}
