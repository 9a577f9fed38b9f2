#ifndef KIOSK_WEB_REQUEST_H
#define KIOSK_WEB_REQUEST_H

#include <microhttpd.h>

#include "kiosk/web/path.h"
#include "kiosk/web/route.h"
#include "kiosk/web/waiter.h"
#include "kiosk/web/web.h"

/* One HTTP request from its header to its answer. It belongs to the web thread of its connection; other threads touch
 * only its waiter. A body is collected up to the route's limit; a longer one, and the body of a request refused at
 * its header, is read and thrown away (up to REQUEST_DRAIN) so that the client gets to see the sentence. */

enum { REQUEST_DRAIN = 256 * 1024 * 1024 };

/* One step of an answer: replies, or waits with another step in `request->step`. */
typedef enum MHD_Result request_step(struct request *request);

struct request {
    struct web *web;
    struct MHD_Connection *connection;
    const struct route *route;
    char parameter[PATH_PARAMETER_SIZE]; /* what {} or * of the route's pattern stood for */
    request_step *step;                  /* next to run, once the body is here or the waiting is over */
    char *body;
    size_t body_length, body_size;
    uint64_t drained;
    unsigned refusal; /* status that was decided before the body was read; 0: none. Its sentence is in `fault` */
    struct fault fault;
    char allow[ROUTE_ALLOW_SIZE]; /* methods for a 405 */
    bool holds_picture;           /* counted in web.pictures_now */
    struct waiter *waiter;        /* while waiting and after, until the next or the end */
    void *scratch;                /* between steps; freed by `scratch_release` */
    void (*scratch_release)(void *scratch);
    char device[WORD_SIZE]; /* whose credential came with it (credential.h), "" nobody's */
    char act[ACT_ID_SIZE];  /* sent back as header Act-Id when not "" */
    int64_t act_seq;        /* … and Act-Seq when positive */
};

/* The HTTP library's callbacks. */
enum MHD_Result request_handle(void *web, struct MHD_Connection *connection, const char *url, const char *method,
                               const char *version, const char *upload, size_t *upload_size, void **memory);
void request_ended(void *context, struct MHD_Connection *connection, void **memory,
                   enum MHD_RequestTerminationCode reason);

/* Suspends: `step` runs when request->waiter is done. On true the caller must see to it that waiter_complete is
 * called, and return MHD_YES from its own step. On false it replies with the fault. */
bool request_wait(struct request *request, request_step *step, struct fault *fault);

/* A query parameter, percent-decoded; NULL when it is absent or bare. Borrowed for the request. */
const char *request_query(const struct request *request, const char *key);
/* A query parameter that is a whole number from `least` to `most`; `*value` keeps its default when absent. */
bool request_query_count(const struct request *request, const char *key, int64_t least, int64_t most, int64_t *value,
                         struct fault *fault);
const char *request_header(const struct request *request, const char *name);

#endif
