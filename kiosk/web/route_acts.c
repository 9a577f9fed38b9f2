#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/desk/device.h"
#include "kiosk/web/act_call.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/pin_worker.h"
#include "kiosk/web/reply.h"

/* POST /api/acts and /api/scans: parse, queue, sleep, answer. An act with an approval, or one that makes a PIN, sleeps
 * twice: for the slow worker, then for the writer. The PIN goes no further than the worker; a new one goes from there
 * into this one answer, and is in nothing that is stored. */

static enum MHD_Result reply_done(struct request *request)
{
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    if (!result)
        return reply_fault(request, fault);
    return reply_text(request, MHD_HTTP_OK, "application/json", strdup(result->text));
}

static enum MHD_Result start(struct request *request, struct act *act)
{
    struct fault fault = {0};
    return act_call_start(request, act, reply_done, &fault) ? MHD_YES : reply_fault(request, &fault);
}

/* ---- with a PIN ---- */

struct pinned { /* between the steps */
    struct act act;
    char made[PIN_DIGITS + 1];
    bool by_code;
};

static void pinned_free(void *scratch)
{
    struct pinned *pinned = scratch;
    json_decref(pinned->act.content); /* NULL once the writer has it */
    sodium_memzero(pinned, sizeof *pinned);
    free(pinned);
}

/* The answer, and the new PIN in it: a repeated one has none, since it is another one's. */
static enum MHD_Result reply_pinned(struct request *request)
{
    const struct pinned *pinned = request->scratch;
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    if (!result)
        return reply_fault(request, fault);
    if (pinned->by_code) {
        pin_worker_drop_code(request->web->pins);
        if (request->web->options.code_used)
            request->web->options.code_used(request->web->options.code_context);
    }
    json_t *answer = json_loads(result->text, 0, NULL);
    if (answer && pinned->made[0] != '\0' && !result->repeated)
        json_object_set_new(answer, "pin", json_string(pinned->made));
    return reply_json(request, MHD_HTTP_OK, answer);
}

/* The PIN or code was right, a new one is made: now the act itself. */
static enum MHD_Result go_on(struct request *request)
{
    const struct waiter *waiter = request->waiter;
    struct pinned *pinned = request->scratch;
    struct fault fault = {0};
    if (waiter->fault.code != FAULT_NONE)
        return reply_fault(request, &waiter->fault);
    const struct pin_job *job = waiter->result;
    memcpy(pinned->act.approver, job->person, sizeof pinned->act.approver);
    memcpy(pinned->act.aside, job->hash, sizeof job->hash);
    memcpy(pinned->made, job->made, sizeof pinned->made);
    struct act act = pinned->act;
    pinned->act.content = NULL;
    const bool started = act_call_start(request, &act, reply_pinned, &fault);
    sodium_memzero(&act, sizeof act);
    return started ? MHD_YES : reply_fault(request, &fault);
}

static struct pin_job *make_job(const struct act *act, const struct act_approval *approval)
{
    struct pin_job *job = pin_job_create();
    if (!job)
        return NULL;
    const bool enrols = strcmp(act->kind, "enrol") == 0;
    memcpy(job->terminal, act->counter, sizeof job->terminal);
    memcpy(job->person, approval->person, sizeof job->person);
    memcpy(job->pin, approval->pin, sizeof job->pin);
    if (enrols) /* a code is for this alone */
        memcpy(job->code, approval->code, sizeof job->code);
    job->makes = enrols ? job->code[0] != '\0' : strcmp(act->kind, "pin-issue") == 0 && job->person[0] != '\0';
    return job;
}

/* Takes the act's content in any case. */
static enum MHD_Result start_pinned(struct request *request, const struct act *act, const struct act_approval *approval)
{
    struct fault fault = {0}, refused = {0};
    struct pin_job *job = make_job(act, approval);
    struct pinned *pinned = calloc(1, sizeof *pinned);
    if (pinned) {
        pinned->act = *act;
        request->scratch = pinned;
        request->scratch_release = pinned_free;
    } else {
        json_decref(act->content);
    }
    if (!job || !pinned) {
        pin_job_free(job);
        fault_set(&fault, FAULT_BUSY, "no memory to check a PIN: try again");
        return reply_fault(request, &fault);
    }
    pinned->by_code = job->code[0] != '\0';
    if (!request_wait(request, go_on, &fault)) {
        pin_job_free(job);
        return reply_fault(request, &fault);
    }
    struct waiter *waiter = job->waiter = request->waiter;
    if (!pin_worker_push(request->web->pins, job, &refused))
        waiter_complete(waiter, job, pin_job_free, &refused);
    return MHD_YES;
}

/* ---- by a device ---- */

/* A device acts for itself, and does what a printer can know. */
static bool become_device(const struct request *request, struct act *act, struct fault *fault)
{
    if (request->device[0] == '\0')
        return true;
    if (!device_may_do(act->kind))
        return fault_set(fault, FAULT_REFUSED, "device '%s' may not do '%s': that is for people", request->device,
                         act->kind);
    if (act->person[0] || act->counter[0])
        return fault_set(fault, FAULT_INPUT, "device '%s' acts for itself: leave 'person' and 'counter' out",
                         request->device);
    memcpy(act->device, request->device, sizeof act->device);
    return true;
}

enum MHD_Result route_acts_post(struct request *request)
{
    struct act act;
    struct act_approval approval;
    struct fault fault = {0};
    const bool read = act_json_read((struct span){request->body, request->body_length}, &act, &approval, &fault);
    if (request->body)
        sodium_memzero(request->body, request->body_length); /* it may have a PIN in it */
    if (!read)
        return reply_fault(request, &fault);
    if (!become_device(request, &act, &fault)) {
        json_decref(act.content);
        return reply_fault(request, &fault);
    }
    if (!approval.person[0] && !approval.code[0])
        return start(request, &act);
    const enum MHD_Result result = start_pinned(request, &act, &approval);
    sodium_memzero(&approval, sizeof approval);
    return result;
}

enum MHD_Result route_scans_post(struct request *request)
{
    struct act act;
    struct fault fault = {0};
    if (!act_json_read_scan((struct span){request->body, request->body_length}, &act, &fault))
        return reply_fault(request, &fault);
    return start(request, &act);
}
