#include "kiosk/devices/printer.h"

#include <string.h>

#include "kiosk/devices/printer_request.h"

/* The jobs that a printer or queue has: one of them, ours, and those that stand in the way of going on. */

static const char *const wanted[] = {
    "job-id",
    "job-impressions-completed",
    "job-name",
    "job-originating-user-name",
    "job-printer-state-reasons",
    "job-state",
    "job-state-reasons",
    "time-at-processing",
};

enum { WANTED = sizeof wanted / sizeof *wanted };

static struct printer_standing gone(int job_id)
{
    return (struct printer_standing){.job_id = job_id, .state = PRINTER_JOB_GONE, .certainty = PRINTER_MAY_HAVE};
}

bool printer_follow(const struct printer *printer, int job_id, const char *name, struct printer_standing *standing,
                    struct fault *fault)
{
    ipp_t *const request = printer_request_new_job(printer, IPP_OP_GET_JOB_ATTRIBUTES, job_id);
    printer_request_want(request, wanted, WANTED);
    ipp_t *answer = NULL;
    struct printer_standing read = {.job_id = 0};
    size_t count = 0;
    bool ok = printer_wire_ask(&printer->address, request, NULL, &answer, fault) == PRINTER_WIRE_ANSWERED;
    const ipp_status_t status = ok ? ippGetStatusCode(answer) : IPP_STATUS_OK;
    if (ok && (status == IPP_STATUS_ERROR_NOT_FOUND || status == IPP_STATUS_ERROR_GONE)) {
        *standing = gone(job_id);
    } else if (ok && !printer_request_is_done(answer)) {
        ok = printer_request_fault(printer, answer, FAULT_DEVICE, "ask again", fault);
    } else if (ok) {
        printer_standing_read(answer, &read, 1, &count);
        if (count == 0 || read.job_id != job_id)
            ok = fault_set(fault, FAULT_DEVICE, "printer '%.128s' does not tell the state of the job: ask again",
                           printer->address.uri);
        else
            *standing = name && read.name[0] != '\0' && !printer_standing_has_name(&read, name) ? gone(job_id) : read;
    }
    ippDelete(answer);
    ippDelete(request);
    return ok;
}

bool printer_poll(const struct printer *printer, int job_id, enum printer_job_state *state,
                  struct printer_reasons *reasons, struct fault *fault)
{
    struct printer_standing standing;
    if (!printer_follow(printer, job_id, NULL, &standing, fault))
        return false;
    *state = standing.state;
    *reasons = standing.reasons;
    return true;
}

static bool ask_and_forget(const struct printer *printer, ipp_t *request, const char *advice, struct fault *fault)
{
    ipp_t *answer;
    const bool ok = printer_request_ask(printer, request, advice, &answer, fault);
    ippDelete(answer);
    return ok;
}

bool printer_cancel(const struct printer *printer, int job_id, const char *name, struct printer_standing *standing,
                    struct fault *fault)
{
    struct printer_standing now = {.job_id = job_id};
    if (!printer_follow(printer, job_id, name, &now, fault))
        return false;
    if (now.certainty == PRINTER_UNDER_WAY) {
        ipp_t *const request = printer_request_new_job(printer, IPP_OP_CANCEL_JOB, job_id);
        struct fault refusal = {.code = FAULT_NONE};
        const bool ok = ask_and_forget(printer, request, "cancel it at its display or queue", &refusal);
        if (!printer_follow(printer, job_id, name, &now, fault))
            return false;
        if (!ok && now.certainty == PRINTER_UNDER_WAY) /* else it ended by itself meanwhile */
            return fault_set(fault, refusal.code, "%s", refusal.text);
    }
    *standing = now;
    return true;
}

bool printer_list(const struct printer *printer, enum printer_jobs which, struct printer_standing list[], size_t most,
                  size_t *count, struct fault *fault)
{
    ipp_t *const request = printer_request_new(printer, IPP_OP_GET_JOBS);
    ippAddInteger(request, IPP_TAG_OPERATION, IPP_TAG_INTEGER, "limit", (int)most);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_KEYWORD, "which-jobs", NULL,
                 which == PRINTER_JOBS_WAITING ? "not-completed" : "completed");
    printer_request_want(request, wanted, WANTED);
    ipp_t *answer;
    if (!printer_request_ask(printer, request, "look at its queue", &answer, fault))
        return false;
    printer_standing_read(answer, list, most, count);
    ippDelete(answer);
    return true;
}

bool printer_find(const struct printer *printer, const char *name, struct printer_standing *standing, bool *found,
                  struct fault *fault)
{
    static const enum printer_jobs both[] = {PRINTER_JOBS_WAITING, PRINTER_JOBS_ENDED};
    struct printer_standing list[PRINTER_JOBS_MOST];
    for (size_t part = 0; part < sizeof both / sizeof *both; part++) {
        size_t count = 0;
        if (!printer_list(printer, both[part], list, PRINTER_JOBS_MOST, &count, fault))
            return false;
        for (size_t i = 0; i < count; i++) {
            if (printer_standing_has_name(&list[i], name)) {
                *standing = list[i];
                *found = true;
                return true;
            }
        }
    }
    *found = false;
    return true;
}

/* Jobs that would be printed once more, anybody's; cancels ours when told to. False: `fault` is filled. */
static bool repeats_settle(const struct printer *printer, bool cancel, struct printer_standing *repeat, bool *left,
                           struct fault *fault)
{
    struct printer_standing list[PRINTER_JOBS_MOST];
    size_t count = 0;
    *left = false;
    if (!printer_list(printer, PRINTER_JOBS_WAITING, list, PRINTER_JOBS_MOST, &count, fault))
        return false;
    for (size_t i = 0; i < count; i++) {
        struct printer_standing now = list[i];
        if (!now.starts_over)
            continue;
        if (cancel && now.ours && !printer_cancel(printer, list[i].job_id, list[i].name, &now, fault))
            return false;
        if (now.certainty == PRINTER_UNDER_WAY) {
            *repeat = now;
            *left = true;
        }
    }
    return true;
}

static bool set_going(const struct printer *printer, const struct printer_facts *facts, struct fault *fault)
{
    const char *const uri = printer->address.uri;
    const bool stopped = facts->state == PRINTER_STATE_STOPPED, refuses = !facts->accepts_jobs;
    if (stopped && !facts->can_go)
        return fault_set(fault, FAULT_REFUSED,
                         "printer '%.128s' cannot be set going from here: press its pause or feed key", uri);
    if (stopped && !ask_and_forget(printer, printer_request_new(printer, IPP_OP_RESUME_PRINTER),
                                   "set it going at its display or queue", fault))
        return false;
    if (refuses && !facts->can_accept && !facts->can_accept_cups)
        return fault_set(fault, FAULT_REFUSED,
                         "printer '%.128s' cannot be told to take labels from here: look at its display", uri);
    const ipp_op_t accept = facts->can_accept ? IPP_OP_ENABLE_PRINTER : IPP_OP_CUPS_ACCEPT_JOBS;
    return !refuses || ask_and_forget(printer, printer_request_new(printer, accept),
                                      "let it take labels at its display or queue", fault);
}

enum printer_resumed printer_resume(const struct printer *printer, enum printer_begun begun, struct fault *fault)
{
    struct printer_facts facts;
    struct printer_standing repeat;
    bool left = false;
    if (!printer_query(printer, &facts, fault))
        return PRINTER_NOT_RESUMED;
    if (begun != PRINTER_BEGUN_PRINT && facts.can_list &&
        !repeats_settle(printer, begun == PRINTER_BEGUN_CANCEL, &repeat, &left, fault))
        return PRINTER_NOT_RESUMED;
    if (left) {
        fault_set(fault, FAULT_CONFLICT,
                  "job %d '%.64s' was being printed when the queue stopped, and the queue would print it from its "
                  "beginning: look whether it came out, then cancel it or let it print again",
                  repeat.job_id, repeat.name);
        return begun == PRINTER_BEGUN_ASK ? PRINTER_WOULD_REPEAT : PRINTER_NOT_RESUMED;
    }
    return set_going(printer, &facts, fault) ? PRINTER_RESUMED : PRINTER_NOT_RESUMED;
}
