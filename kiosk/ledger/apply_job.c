#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* What a printer works on: started, told more of, ended; and the same taken back (`refers` says what). What is planned:
 * apply_job_plan.c. */

static bool load_job(const struct movement *movement, const struct apply_store *store, struct job *row, bool *found,
                     struct fault *fault)
{
    if (!apply_needs(movement, movement->job, "job", fault))
        return false;
    memcpy(row->id, movement->job, sizeof row->id);
    return store->load_job(store->context, row, found, fault);
}

static bool save_job(const struct movement *movement, const struct apply_store *store, struct job *row,
                     struct fault *fault)
{
    row->version = movement->seq;
    return store->save_job(store->context, row, fault);
}

/* What the plan said stays, but for what is said anew. */
static bool start_planned(const struct movement *movement, const struct apply_store *store, struct job *row,
                          struct fault *fault)
{
    row->started_ms = movement->at.ms;
    memcpy(row->machine, movement->printer, sizeof row->machine);
    memcpy(row->person, movement->person, sizeof row->person);
    if (movement->amount_ul != MOVEMENT_NULL)
        row->need_ul = movement->amount_ul;
    if (movement->expires != MOVEMENT_NULL)
        row->end_day = movement->expires;
    return save_job(movement, store, row, fault);
}

bool apply_job_start(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job before = {0}, row = {.started_ms = movement->at.ms,
                                    .ended_ms = MOVEMENT_NULL,
                                    .need_ul = movement->amount_ul,
                                    .end_day = movement->expires,
                                    .minutes = MOVEMENT_NULL,
                                    .end_ms = MOVEMENT_NULL,
                                    .ticket = MOVEMENT_NULL,
                                    .used_ul = MOVEMENT_NULL};
    bool found = false;
    if (!load_job(movement, store, &before, &found, fault) ||
        !apply_needs(movement, movement->printer, "printer", fault) || !apply_check_printer(movement, store, fault))
        return false;
    if (found && movement->refers != MOVEMENT_NULL && before.ended_ms != MOVEMENT_NULL) { /* its end is taken back */
        before.ended_ms = before.minutes = before.used_ul = MOVEMENT_NULL;
        before.outcome[0] = '\0';
        return save_job(movement, store, &before, fault);
    }
    if (found && movement->refers == MOVEMENT_NULL && apply_job_is_planned(&before))
        return start_planned(movement, store, &before, fault);
    if (found)
        return fault_set(fault, FAULT_REFUSED, "job '%s' was started before: give the new one another name",
                         movement->job);
    memcpy(row.id, movement->job, sizeof row.id);
    memcpy(row.machine, movement->printer, sizeof row.machine);
    memcpy(row.person, movement->person, sizeof row.person);
    return save_job(movement, store, &row, fault);
}

static bool load_running(const struct movement *movement, const struct apply_store *store, const char *next,
                         struct job *row, struct fault *fault)
{
    bool found = false;
    if (!load_job(movement, store, row, &found, fault))
        return false;
    return (found && row->ended_ms == MOVEMENT_NULL && row->started_ms != MOVEMENT_NULL) ||
           fault_set(fault, FAULT_REFUSED, "job '%s' does not run: %s", movement->job, next);
}

/* What it says is added to what is known; the ticket itself (names, parts) stays in the movement. */
static bool read_ticket(const struct movement *movement, struct job *row, struct fault *fault)
{
    json_t *detail = NULL;
    int64_t over;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool read = movement_detail_text(detail, "code", row->code, sizeof row->code, fault) &&
                      movement_detail_number(detail, "ends_ms", &row->end_ms, fault) &&
                      movement_detail_number(detail, "over", &over, fault);
    json_decref(detail);
    if (read && row->ticket != over) /* the plan's, which this one says it stands for; none as a rule */
        return fault_set(fault, FAULT_REFUSED, "job '%s' has its ticket: end it, then start the next one",
                         movement->job);
    if (movement->amount_ul != MOVEMENT_NULL)
        row->need_ul = movement->amount_ul;
    if (movement->expires != MOVEMENT_NULL)
        row->end_day = movement->expires;
    row->ticket = movement->seq;
    return read;
}

bool apply_job_ticket(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {0};
    if (!load_running(movement, store, "there is nothing to tell of it", &row, fault))
        return false;
    if (movement->refers != MOVEMENT_NULL) { /* taken back: as it was before, in full */
        if (!apply_job_read_again(movement, &row, fault))
            return false;
    } else if (!read_ticket(movement, &row, fault)) {
        return false;
    }
    return save_job(movement, store, &row, fault);
}

/* How a job ended that was over when its printer was empty, told afterwards: when it ended stays as it was. */
static bool tell_late(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {0};
    bool found = false;
    const bool taken_back = movement->refers != MOVEMENT_NULL;
    if (!load_job(movement, store, &row, &found, fault))
        return false;
    if (!found || row.ended_ms == MOVEMENT_NULL || (row.outcome[0] != '\0') != taken_back ||
        (movement->word[0] != '\0') == taken_back)
        return fault_set(fault, FAULT_REFUSED, "job '%s' has not ended without a word: there is nothing to tell of it",
                         movement->job);
    row.used_ul = movement->amount_ul;
    memcpy(row.outcome, movement->word, sizeof row.outcome);
    return save_job(movement, store, &row, fault);
}

bool apply_job_end(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {0};
    if (movement->word[0] && !apply_check_word(movement, "done failed aborted", fault))
        return false;
    if (movement_detail_flag(movement->detail, "late"))
        return tell_late(movement, store, fault);
    if (!load_running(movement, store, "there is nothing to end", &row, fault))
        return false;
    row.ended_ms = movement->at.ms;
    row.minutes = movement->minutes;
    row.used_ul = movement->amount_ul;
    memcpy(row.outcome, movement->word, sizeof row.outcome);
    return save_job(movement, store, &row, fault);
}
