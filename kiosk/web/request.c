#include "kiosk/web/request.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/web/credential.h"
#include "kiosk/web/guard.h"
#include "kiosk/web/reply.h"

enum { BODY_FIRST = 4096, PATH_SHOWN = 80 };

const char *request_header(const struct request *request, const char *name)
{
    return MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, name);
}

const char *request_query(const struct request *request, const char *key)
{
    return MHD_lookup_connection_value(request->connection, MHD_GET_ARGUMENT_KIND, key);
}

bool request_query_count(const struct request *request, const char *key, int64_t least, int64_t most, int64_t *value,
                         struct fault *fault)
{
    const char *text = request_query(request, key);
    int64_t count = 0;
    if (!text)
        return true;
    if (!span_read_count(span_of(text), &count) || count < least || count > most)
        return fault_set(fault, FAULT_INPUT,
                         "query '%s' must be a whole number from %" PRId64 " to %" PRId64 ": correct it", key, least,
                         most);
    *value = count;
    return true;
}

static void drop_body(struct request *request)
{
    free(request->body);
    request->body = NULL;
    request->body_length = request->body_size = 0;
}

static void drop_waiter(struct request *request)
{
    if (request->waiter)
        waiter_leave(request->web, request->waiter);
    request->waiter = NULL;
}

bool request_wait(struct request *request, request_step *step, struct fault *fault)
{
    struct waiter *waiter = NULL;
    if (!waiter_begin(request->web, request->connection, &waiter, fault))
        return false;
    drop_waiter(request);
    request->waiter = waiter;
    request->step = step;
    return true;
}

static void refuse(struct request *request, unsigned status, enum fault_code code, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

static void refuse(struct request *request, unsigned status, enum fault_code code, const char *format, ...)
{
    char text[FAULT_TEXT_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    fault_set(&request->fault, code, "%s", text);
    request->refusal = status;
    drop_body(request);
}

static void refuse_large(struct request *request)
{
    const size_t limit = request->route->body_limit;
    if (limit == 0)
        refuse(request, MHD_HTTP_CONTENT_TOO_LARGE, FAULT_INPUT, "this path takes no body: leave it out");
    else if (request->route->picture)
        refuse(request, MHD_HTTP_CONTENT_TOO_LARGE, FAULT_INPUT,
               "the picture is larger than %zu MiB: take it at a lower resolution or save it as JPEG", limit >> 20);
    else
        refuse(request, MHD_HTTP_CONTENT_TOO_LARGE, FAULT_INPUT, "the body is larger than %zu KiB: send less at once",
               limit >> 10);
}

static struct span header_span(const struct request *request, const char *name)
{
    return span_of(request_header(request, name));
}

static bool changes(const char *method)
{
    return strcmp(method, MHD_HTTP_METHOD_GET) != 0 && strcmp(method, MHD_HTTP_METHOD_HEAD) != 0;
}

static void check_guard(struct request *request, const char *method)
{
    const struct guard_request asked = {
        .host = header_span(request, MHD_HTTP_HEADER_HOST),
        .origin = header_span(request, MHD_HTTP_HEADER_ORIGIN),
        .fetch_site = header_span(request, "Sec-Fetch-Site"),
        .changes = changes(method),
    };
    if (!guard_check(&asked, &request->fault))
        request->refusal = MHD_HTTP_FORBIDDEN;
}

static void check_route(struct request *request, const char *url, const char *method)
{
    char shown[PATH_SHOWN];
    request->route = route_find(method, url, request->parameter, request->allow);
    if (request->route) {
        request->step = request->route->step;
        return;
    }
    text_show(span_of(url), shown, sizeof shown);
    if (request->allow[0])
        refuse(request, MHD_HTTP_METHOD_NOT_ALLOWED, FAULT_INPUT, "'%s' answers to %s only: see /api", shown,
               request->allow);
    else
        refuse(request, MHD_HTTP_NOT_FOUND, FAULT_MISSING, "there is nothing at '%s': see /api for what there is",
               shown);
}

/* A device's credential is for its acts; the rest of what changes something here is for people. */
static void check_credential(struct request *request, const char *method)
{
    unsigned status;
    if (!credential_check(request, request->device, &status, &request->fault))
        request->refusal = status;
    else if (request->device[0] && request->route->step != route_acts_post && changes(method))
        refuse(request, MHD_HTTP_FORBIDDEN, FAULT_REFUSED, "device '%s' may not do this: it sends acts to /api/acts",
               request->device);
}

/* Few pictures at once: each may be as large as its limit. */
static void check_picture_place(struct request *request)
{
    if (!request->route->picture)
        return;
    if (atomic_fetch_add(&request->web->pictures_now, 1) < WEB_PICTURES) {
        request->holds_picture = true;
        return;
    }
    atomic_fetch_sub(&request->web->pictures_now, 1);
    refuse(request, MHD_HTTP_SERVICE_UNAVAILABLE, FAULT_BUSY,
           "%d pictures are being read already: send this one again in a moment", WEB_PICTURES);
}

/* Everything that can be said before the body. `*declared` is the length it announces. */
static void check_header(struct request *request, const char *url, const char *method, int64_t *declared)
{
    const struct span length = header_span(request, MHD_HTTP_HEADER_CONTENT_LENGTH);
    if (!span_read_count(length, declared))
        *declared = length.length > 0 ? INT64_MAX : 0; /* 19 digits and more */
    check_guard(request, method);
    if (!request->refusal && web_is_stopping(request->web))
        refuse(request, MHD_HTTP_SERVICE_UNAVAILABLE, FAULT_BUSY, "the kiosk is being stopped: try again later");
    if (!request->refusal)
        check_route(request, url, method);
    if (!request->refusal)
        check_credential(request, method);
    if (!request->refusal && *declared > (int64_t)request->route->body_limit)
        refuse_large(request);
    if (!request->refusal)
        check_picture_place(request);
}

static enum MHD_Result begin(struct web *web, struct MHD_Connection *connection, const char *url, const char *method,
                             void **memory)
{
    struct request *request = calloc(1, sizeof *request);
    int64_t declared = 0;
    if (!request)
        return MHD_NO;
    request->web = web;
    request->connection = connection;
    *memory = request;
    pthread_mutex_lock(&web->mutex);
    web->active++;
    pthread_mutex_unlock(&web->mutex);
    atomic_fetch_add(&web->requests, 1);

    check_header(request, url, method, &declared);
    /* A client that asks before it sends (RFC 9110 section 10.1.1), or would send more than we care to throw away, is
     * answered now, and the connection closed. Others are let finish: a reset would take the sentence from them. */
    const bool asks = span_of(request_header(request, MHD_HTTP_HEADER_EXPECT)).length > 0;
    if (request->refusal && (asks || declared > REQUEST_DRAIN))
        return reply_problem(request, request->refusal, &request->fault);
    return MHD_YES;
}

static bool grow(struct request *request, size_t need)
{
    size_t size = request->body_size ? request->body_size : BODY_FIRST;
    while (size < need)
        size *= 2;
    if (size > request->route->body_limit)
        size = request->route->body_limit;
    if (size == request->body_size)
        return true;
    char *body = realloc(request->body, size);
    if (!body)
        return false;
    request->body = body;
    request->body_size = size;
    return true;
}

static enum MHD_Result take_body(struct request *request, const char *upload, size_t *upload_size)
{
    const size_t size = *upload_size;
    *upload_size = 0;
    if (!request->refusal && size > request->route->body_limit - request->body_length)
        refuse_large(request);
    if (!request->refusal && !grow(request, request->body_length + size))
        refuse(request, MHD_HTTP_SERVICE_UNAVAILABLE, FAULT_BUSY, "no memory for this body: try again");
    if (request->refusal) {
        request->drained += size;
        return request->drained > REQUEST_DRAIN ? MHD_NO : MHD_YES;
    }
    memcpy(request->body + request->body_length, upload, size);
    request->body_length += size;
    return MHD_YES;
}

enum MHD_Result request_handle(void *web, struct MHD_Connection *connection, const char *url, const char *method,
                               const char *version, const char *upload, size_t *upload_size, void **memory)
{
    (void)version;
    if (!*memory)
        return begin(web, connection, url, method, memory);
    struct request *request = *memory;
    if (*upload_size > 0)
        return take_body(request, upload, upload_size);
    if (request->refusal)
        return reply_problem(request, request->refusal, &request->fault);
    return request->step(request);
}

void request_ended(void *context, struct MHD_Connection *connection, void **memory,
                   enum MHD_RequestTerminationCode reason)
{
    struct web *web = context;
    struct request *request = *memory;
    (void)connection;
    (void)reason;
    if (!request)
        return;
    *memory = NULL;
    drop_waiter(request);
    drop_body(request);
    if (request->scratch_release)
        request->scratch_release(request->scratch);
    if (request->holds_picture)
        atomic_fetch_sub(&web->pictures_now, 1);
    free(request);
    pthread_mutex_lock(&web->mutex);
    if (--web->active == 0)
        pthread_cond_broadcast(&web->quiet);
    pthread_mutex_unlock(&web->mutex);
}
