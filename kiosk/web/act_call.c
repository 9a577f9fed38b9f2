#include "kiosk/web/act_call.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/json_memory.h"

struct act_call { /* the writer's hold on it; may outlive the server */
    struct waiter *waiter;
    struct feed *feed;
    char counter[ACT_COUNTER_SIZE];
};

static void result_release(void *context)
{
    struct act_result *result = context;
    if (!result)
        return;
    free(result->text);
    free(result);
}

/* The answer with one more key, spliced in as text: the stored object belongs to the writer. */
static char *mark_repeated(char *text)
{
    static const char key[] = "{\"repeated\":true";
    const bool empty = text[1] == '}';
    const size_t size = sizeof key + 1 + strlen(text);
    char *marked = malloc(size);
    if (marked)
        snprintf(marked, size, "%s%s%s", key, empty ? "" : ",", text + 1);
    free(text);
    return marked;
}

static struct act_result *result_make(const json_t *answer, int64_t last_seq, bool repeated)
{
    struct act_result *result = calloc(1, sizeof *result);
    if (!result)
        return NULL;
    result->last_seq = last_seq;
    result->repeated = repeated;
    result->text =
        json_is_object(answer) ? json_memory_dumps(answer, JSON_COMPACT | JSON_REAL_PRECISION(15)) : strdup("{}");
    if (result->text && repeated)
        result->text = mark_repeated(result->text);
    if (result->text)
        return result;
    free(result);
    return NULL;
}

/* On the writer thread. */
static void act_call_done(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                          const struct fault *fault)
{
    struct act_call *call = context;
    struct fault lost = {0};
    struct act_result *result = *answer ? result_make(*answer, last_seq, repeated) : NULL;
    (void)id;
    if (*answer && !result) {
        fault_set(&lost, FAULT_STORAGE, "no memory for the answer: the act is done, repeat it with the same id");
        fault = &lost;
    } else if (!*answer && !fault) {
        fault_set(&lost, FAULT_STORAGE, "the act came back without an answer: repeat it with the same id");
        fault = &lost;
    }
    if (*answer && !repeated && call->counter[0])
        web_announce_counter(call->feed, call->counter);
    waiter_complete(call->waiter, result, result_release, fault);
    free(call);
}

bool act_call_start(struct request *request, struct act *act, request_step *step, struct fault *fault)
{
    struct act_call *call = calloc(1, sizeof *call);
    struct fault refused = {0};
    if (!call) {
        json_decref(act->content);
        return fault_set(fault, FAULT_STORAGE, "no memory for the act: try again");
    }
    if (!request_wait(request, step, fault)) {
        json_decref(act->content);
        free(call);
        return false;
    }
    memcpy(request->act, act->id, sizeof request->act);
    memcpy(call->counter, act->counter, sizeof call->counter);
    call->feed = request->web->options.feed;
    call->waiter = request->waiter;
    /* from here on the waiter may be completed at any moment, by the writer as well as by shutdown */
    if (!writer_submit(request->web->options.writer, act, act_call_done, call, &refused)) {
        waiter_complete(call->waiter, NULL, NULL, &refused);
        free(call);
    }
    return true;
}

const struct act_result *act_call_result(struct request *request, const struct fault **fault)
{
    const struct waiter *waiter = request->waiter;
    const struct act_result *result = waiter->result;
    const bool failed = waiter->fault.code != FAULT_NONE;
    if (!failed || waiter->fault.code == FAULT_STORAGE || waiter->fault.code == FAULT_DAMAGED)
        atomic_store(&request->web->storage_failed, failed);
    if (failed) {
        *fault = &waiter->fault;
        return NULL;
    }
    request->act_seq = result->last_seq;
    return result;
}
