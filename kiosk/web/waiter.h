#ifndef KIOSK_WEB_WAITER_H
#define KIOSK_WEB_WAITER_H

#include <pthread.h>

#include <microhttpd.h>

#include "kiosk/web/web.h"
#include "labels/basics/fault.h"

/* A request that waits for another thread. It has two holders: the request, and whoever will complete it. The
 * connection is suspended before the work is queued, so a completion that comes at once still finds it asleep; the
 * first completion wins (the work's, or shutdown's), a later one only lets go. A waiter outlives the server when the
 * work does. */

typedef void waiter_release(void *result);

struct waiter {
    pthread_mutex_t mutex; /* guards the rest, but for the links and the result once done */
    int holders;
    struct MHD_Connection *connection; /* suspended while not done */
    bool done;
    struct fault fault; /* code FAULT_NONE: the result is good */
    void *result;
    waiter_release *release;
    int64_t since_ms;               /* monotonic */
    struct waiter *next, *previous; /* under web.mutex */
};

/* Suspends the connection; two holders. False and not suspended: FAULT_BUSY while the server stops, FAULT_STORAGE. */
bool waiter_begin(struct web *web, struct MHD_Connection *connection, struct waiter **waiter, struct fault *fault);

/* For the working thread, exactly once: hands over `result` (`release` frees it; may be NULL with NULL), or `fault`,
 * resumes the connection, and lets go of the waiter. */
void waiter_complete(struct waiter *waiter, void *result, waiter_release *release, const struct fault *fault);

/* For the request, once it has looked at the result or is torn down. */
void waiter_leave(struct web *web, struct waiter *waiter);

/* Shutdown: every waiter is done with FAULT_BUSY. Afterwards none begins. Sets web.stopping. */
void waiter_stop_all(struct web *web);

/* How many wait, and since when the longest does (monotonic; 0 when none). */
size_t waiter_count(struct web *web, int64_t *oldest_ms);

#endif
