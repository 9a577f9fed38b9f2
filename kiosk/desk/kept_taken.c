#include "kiosk/desk/kept_taken.h"

#include <string.h>

#include "kiosk/desk/kept_words.h"
#include "kiosk/desk/thing.h"

bool kept_taken_job(struct ledger *ledger, const char *machine, char code[JOB_CODE_SIZE], struct fault *fault)
{
    struct job job;
    bool runs = false;
    code[0] = '\0';
    if (machine[0] == '\0')
        return true;
    if (!job_load_running(ledger, machine, &job, &runs, fault))
        return false;
    if (runs)
        turn_copy(code, JOB_CODE_SIZE, job.code);
    return true;
}

/* The ticket in hand says which job it is; else what runs on the printer. */
static bool group_job(const struct turn *turn, const char *machine, char code[JOB_CODE_SIZE], struct fault *fault)
{
    if (turn->counter.ticket.code[0] == '\0')
        return kept_taken_job(turn->ledger, machine, code, fault);
    turn_copy(code, JOB_CODE_SIZE, turn->counter.ticket.code);
    return true;
}

struct kept_asking kept_taken_asking(const struct turn *turn, const char *job, bool job_known)
{
    return (struct kept_asking){.person = turn->person,
                                .job = job,
                                .job_known = job_known,
                                .today = turn->act->moment.local_day,
                                .clock_trusted = turn->act->moment.trusted};
}

static bool judge(struct turn *turn, const char *serial, const struct kept_asking *asking, struct verdict_list *list,
                  struct fault *fault)
{
    struct unit unit;
    struct kept_words words;
    if (!thing_require_unit(turn->ledger, serial, &unit, fault) || !kept_words_load(turn->ledger, &unit, &words, fault))
        return false;
    const struct kept kept = kept_words_for_rule(&words);
    kept_judge(serial, &kept, asking, list);
    return true;
}

bool kept_taken_judge_group(struct turn *turn, const char *machine, struct verdict_list *list, struct fault *fault)
{
    char job[JOB_CODE_SIZE];
    if (!group_job(turn, machine, job, fault))
        return false;
    const struct kept_asking asking = kept_taken_asking(turn, job, machine[0] != '\0');
    for (size_t i = 0; i < turn->counter.unit_count; i++)
        if (!judge(turn, turn->counter.units[i].serial, &asking, list, fault))
            return false;
    return true;
}

bool kept_taken_judge(struct turn *turn, const char *serial, const char *job, struct verdict_list *list,
                      struct fault *fault)
{
    const struct kept_asking asking = kept_taken_asking(turn, job, true);
    return judge(turn, serial, &asking, list, fault);
}

/* A day that is over was the end of it, and nobody has to free that: the row forgets it with the check-out. */
static bool end(struct turn *turn, const char *serial, const struct kept_asking *asking, struct fault *fault)
{
    struct unit unit;
    struct kept_words words;
    struct movement freed;
    if (!thing_require_unit(turn->ledger, serial, &unit, fault) || !kept_words_load(turn->ledger, &unit, &words, fault))
        return false;
    const struct kept kept = kept_words_for_rule(&words);
    if (kept.whom[0] == '\0' ||
        (kept_counts(&kept, asking->today, asking->clock_trusted) && !kept_suits(&kept, asking)))
        return true;
    movement_init(&freed, MOVEMENT_UNRESERVE);
    turn_copy(freed.unit, sizeof freed.unit, serial);
    return turn_book(turn, &freed, fault);
}

bool kept_taken_end_group(struct turn *turn, const char *machine, struct fault *fault)
{
    char job[JOB_CODE_SIZE];
    if (!group_job(turn, machine, job, fault))
        return false;
    const struct kept_asking asking = kept_taken_asking(turn, job, true);
    for (size_t i = 0; i < turn->counter.unit_count; i++)
        if (!end(turn, turn->counter.units[i].serial, &asking, fault))
            return false;
    return true;
}

bool kept_taken_end(struct turn *turn, const char *serial, struct fault *fault)
{
    const struct kept_asking asking = kept_taken_asking(turn, "", true);
    return end(turn, serial, &asking, fault);
}
