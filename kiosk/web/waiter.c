#include "kiosk/web/waiter.h"

#include <stdlib.h>

static const char STOPPING[] = "the kiosk is being stopped: repeat the request with the same id when it is back";

static void let_go(struct waiter *waiter)
{
    pthread_mutex_lock(&waiter->mutex);
    const int left = --waiter->holders;
    pthread_mutex_unlock(&waiter->mutex);
    if (left > 0)
        return;
    if (waiter->release)
        waiter->release(waiter->result);
    pthread_mutex_destroy(&waiter->mutex);
    free(waiter);
}

bool waiter_begin(struct web *web, struct MHD_Connection *connection, struct waiter **waiter, struct fault *fault)
{
    struct waiter *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for this request: try again");
    pthread_mutex_init(&made->mutex, NULL);
    made->holders = 2;
    made->connection = connection;
    made->since_ms = clock_now(web->options.clock).mono_ms;

    pthread_mutex_lock(&web->mutex);
    const bool stopping = web->stopping;
    if (!stopping) {
        made->next = web->waiters;
        if (made->next)
            made->next->previous = made;
        web->waiters = made;
        MHD_suspend_connection(connection);
    }
    pthread_mutex_unlock(&web->mutex);
    if (stopping) {
        pthread_mutex_destroy(&made->mutex);
        free(made);
        return fault_set(fault, FAULT_BUSY, "%s", STOPPING);
    }
    *waiter = made;
    return true;
}

/* True when this call was the one that ended the waiting. */
static bool finish(struct waiter *waiter, void *result, waiter_release *release, const struct fault *fault)
{
    pthread_mutex_lock(&waiter->mutex);
    const bool first = !waiter->done;
    if (first) {
        waiter->done = true;
        waiter->result = result;
        waiter->release = release;
        if (fault)
            waiter->fault = *fault;
        MHD_resume_connection(waiter->connection);
    }
    pthread_mutex_unlock(&waiter->mutex);
    return first;
}

void waiter_complete(struct waiter *waiter, void *result, waiter_release *release, const struct fault *fault)
{
    if (!finish(waiter, result, release, fault) && release)
        release(result);
    let_go(waiter);
}

void waiter_leave(struct web *web, struct waiter *waiter)
{
    pthread_mutex_lock(&web->mutex);
    if (waiter->previous)
        waiter->previous->next = waiter->next;
    else
        web->waiters = waiter->next;
    if (waiter->next)
        waiter->next->previous = waiter->previous;
    pthread_mutex_unlock(&web->mutex);
    let_go(waiter);
}

void waiter_stop_all(struct web *web)
{
    struct fault stopped = {0};
    fault_set(&stopped, FAULT_BUSY, "%s", STOPPING);
    pthread_mutex_lock(&web->mutex);
    web->stopping = true;
    for (struct waiter *waiter = web->waiters; waiter; waiter = waiter->next)
        finish(waiter, NULL, NULL, &stopped);
    pthread_mutex_unlock(&web->mutex);
}

size_t waiter_count(struct web *web, int64_t *oldest_ms)
{
    size_t count = 0;
    *oldest_ms = 0;
    pthread_mutex_lock(&web->mutex);
    for (const struct waiter *waiter = web->waiters; waiter; waiter = waiter->next, count++)
        if (count == 0 || waiter->since_ms < *oldest_ms)
            *oldest_ms = waiter->since_ms;
    pthread_mutex_unlock(&web->mutex);
    return count;
}
