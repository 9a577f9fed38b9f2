#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* What a printer is to work on: planned, and withdrawn before it began; and the same taken back (`refers` says what).
 * A planned job has no start; one that was withdrawn has an end and no start. */

bool apply_job_is_planned(const struct job *row)
{
    return row->started_ms == MOVEMENT_NULL && row->ended_ms == MOVEMENT_NULL;
}

bool apply_job_read_again(const struct movement *movement, struct job *row, struct fault *fault)
{
    json_t *detail = NULL;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool read = movement_detail_text(detail, "code", row->code, sizeof row->code, fault) &&
                      movement_detail_number(detail, "ends_ms", &row->end_ms, fault) &&
                      movement_detail_number(detail, "ticket", &row->ticket, fault);
    json_decref(detail);
    row->need_ul = movement->amount_ul;
    row->end_day = movement->expires;
    return read;
}

static bool save(const struct movement *movement, const struct apply_store *store, struct job *row, struct fault *fault)
{
    row->version = movement->seq;
    return store->save_job(store->context, row, fault);
}

static bool plan_new(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {
        .started_ms = MOVEMENT_NULL, .ended_ms = MOVEMENT_NULL, .minutes = MOVEMENT_NULL, .used_ul = MOVEMENT_NULL};
    if (!apply_job_read_again(movement, &row, fault) || !apply_needs(movement, row.code, "the job's code", fault))
        return false;
    row.ticket = movement->seq;
    memcpy(row.id, movement->job, sizeof row.id);
    memcpy(row.machine, movement->printer, sizeof row.machine);
    memcpy(row.person, movement->person, sizeof row.person);
    return save(movement, store, &row, fault);
}

/* Its start is taken back, or that it was withdrawn: it waits again, as it was planned. */
static bool plan_again(const struct movement *movement, const struct apply_store *store, struct job *row,
                       struct fault *fault)
{
    const bool runs = row->started_ms != MOVEMENT_NULL && row->ended_ms == MOVEMENT_NULL;
    const bool dropped = row->started_ms == MOVEMENT_NULL && row->ended_ms != MOVEMENT_NULL;
    if (!runs && !dropped)
        return fault_set(fault, FAULT_REFUSED, "job '%s' %s: it is not planned again by taking something back",
                         movement->job, row->started_ms == MOVEMENT_NULL ? "is planned already" : "has ended");
    if (!apply_job_read_again(movement, row, fault) ||
        !apply_detail_text(movement, "by", row->person, sizeof row->person, fault))
        return false;
    row->started_ms = row->ended_ms = MOVEMENT_NULL;
    row->outcome[0] = '\0';
    memcpy(row->machine, movement->printer, sizeof row->machine);
    return save(movement, store, row, fault);
}

bool apply_job_plan(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {0};
    bool found = false;
    if (!apply_needs(movement, movement->job, "job", fault) ||
        !apply_needs(movement, movement->printer, "printer", fault) || !apply_check_printer(movement, store, fault))
        return false;
    memcpy(row.id, movement->job, sizeof row.id);
    if (!store->load_job(store->context, &row, &found, fault))
        return false;
    if (found != (movement->refers != MOVEMENT_NULL))
        return fault_set(fault, FAULT_REFUSED,
                         found ? "job '%s' is known already: give the new one another name"
                               : "job '%s' is not known: there is no plan to take up again",
                         movement->job);
    return found ? plan_again(movement, store, &row, fault) : plan_new(movement, store, fault);
}

bool apply_job_drop(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct job row = {0};
    bool found = false;
    if (!apply_needs(movement, movement->job, "job", fault) || !apply_check_word(movement, "dropped replaced", fault))
        return false;
    memcpy(row.id, movement->job, sizeof row.id);
    if (!store->load_job(store->context, &row, &found, fault))
        return false;
    if (!found || !apply_job_is_planned(&row))
        return fault_set(fault, FAULT_REFUSED, "job '%s' is not planned: there is no plan to withdraw", movement->job);
    row.ended_ms = movement->at.ms;
    memcpy(row.outcome, movement->word, sizeof row.outcome);
    return save(movement, store, &row, fault);
}
