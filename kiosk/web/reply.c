#include "kiosk/web/reply.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/json_memory.h"
#include "labels/basics/text.h"

unsigned reply_status(enum fault_code code)
{
    static const unsigned statuses[] = {
        [FAULT_NONE] = MHD_HTTP_INTERNAL_SERVER_ERROR,
        [FAULT_INPUT] = MHD_HTTP_BAD_REQUEST,
        [FAULT_MISSING] = MHD_HTTP_NOT_FOUND,
        [FAULT_CONFLICT] = MHD_HTTP_CONFLICT,
        [FAULT_BUSY] = MHD_HTTP_SERVICE_UNAVAILABLE,
        [FAULT_DEVICE] = MHD_HTTP_BAD_GATEWAY,
        [FAULT_STORAGE] = MHD_HTTP_INTERNAL_SERVER_ERROR,
        [FAULT_REFUSED] = MHD_HTTP_UNPROCESSABLE_CONTENT,
        [FAULT_APPROVAL] = MHD_HTTP_FORBIDDEN,
        [FAULT_DAMAGED] = MHD_HTTP_INTERNAL_SERVER_ERROR,
    };
    _Static_assert(sizeof statuses / sizeof *statuses == FAULT_CODES, "one status a fault code");
    return statuses[code];
}

static void add_header(struct MHD_Response *response, const char *name, const char *value)
{
    if (!MHD_get_response_header(response, name))
        MHD_add_response_header(response, name, value);
}

static void add_security_headers(struct MHD_Response *response)
{
    static const struct {
        const char *name, *value;
    } headers[] = {
        /* blob: and data: for what the page makes itself, a photograph before it is sent and an icon */
        {"Content-Security-Policy", "default-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; "
                                    "object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"},
        {"X-Content-Type-Options", "nosniff"},
        {"X-Frame-Options", "DENY"},
        {"Referrer-Policy", "no-referrer"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
        {"Cache-Control", "no-store"}, /* files say otherwise themselves */
    };
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++)
        add_header(response, headers[i].name, headers[i].value);
}

enum MHD_Result reply_send(struct request *request, unsigned status, struct MHD_Response *response)
{
    char number[24];
    if (!response)
        return MHD_NO;
    add_security_headers(response);
    if (request->act[0])
        add_header(response, "Act-Id", request->act);
    if (request->act_seq > 0) {
        struct builder text;
        builder_init(&text, number, sizeof number);
        builder_addf(&text, "%" PRId64, request->act_seq);
        add_header(response, "Act-Seq", number);
    }
    if (status == MHD_HTTP_SERVICE_UNAVAILABLE)
        add_header(response, MHD_HTTP_HEADER_RETRY_AFTER, "1");
    if (status == MHD_HTTP_UNAUTHORIZED) /* RFC 9110 section 15.5.2, RFC 6750 section 3 */
        add_header(response, MHD_HTTP_HEADER_WWW_AUTHENTICATE, "Bearer error=\"invalid_token\"");
    if (status == MHD_HTTP_METHOD_NOT_ALLOWED && request->allow[0])
        add_header(response, MHD_HTTP_HEADER_ALLOW, request->allow);
    if (status >= MHD_HTTP_BAD_REQUEST)
        atomic_fetch_add(&request->web->problems, 1);
    const enum MHD_Result queued = MHD_queue_response(request->connection, status, response);
    MHD_destroy_response(response);
    return queued;
}

enum MHD_Result reply_text(struct request *request, unsigned status, const char *type, char *text)
{
    if (!text)
        return MHD_NO;
    struct MHD_Response *response = MHD_create_response_from_buffer(strlen(text), text, MHD_RESPMEM_MUST_FREE);
    if (!response) {
        free(text);
        return MHD_NO;
    }
    MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
    return reply_send(request, status, response);
}

static char *dump(json_t *body)
{
    char *text = body ? json_memory_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    json_decref(body);
    return text;
}

enum MHD_Result reply_json(struct request *request, unsigned status, json_t *body)
{
    return reply_text(request, status, "application/json", dump(body));
}

/* A sentence that carries stray bytes of a device or file must still be JSON. */
static json_t *sentence(const char *text)
{
    char plain[FAULT_TEXT_SIZE];
    json_t *value = json_string(text);
    return value ? value : json_string(text_show(span_of(text), plain, sizeof plain));
}

/* RFC 9457. The type stays "about:blank", so the title is the status's own phrase; "code" is an extension member:
 * the fault's word, for programs. */
enum MHD_Result reply_problem_with(struct request *request, unsigned status, const struct fault *fault, json_t *more)
{
    json_t *problem =
        json_pack("{s:s, s:s, s:i, s:o, s:s}", "type", "about:blank", "title", MHD_get_reason_phrase_for(status),
                  "status", (int)status, "detail", sentence(fault->text), "code", fault_code_word(fault->code));
    if (problem && more)
        json_object_update_missing(problem, more);
    json_decref(more);
    return reply_text(request, status, "application/problem+json", dump(problem));
}

enum MHD_Result reply_problem(struct request *request, unsigned status, const struct fault *fault)
{
    return reply_problem_with(request, status, fault, NULL);
}

enum MHD_Result reply_fault(struct request *request, const struct fault *fault)
{
    if (fault->code == FAULT_DAMAGED) /* a reader met it: whoever writes must know */
        writer_shut(request->web->options.writer, fault->text);
    return reply_problem(request, reply_status(fault->code), fault);
}
