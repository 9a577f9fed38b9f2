#include "kiosk/devices/printer_wire.h"

#include <errno.h>
#include <netinet/in.h>
#include <pwd.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "kiosk/devices/printer_answer.h"
#include "kiosk/devices/printer_limit.h"
#include "labels/basics/text.h"

enum { BLOCK_SIZE = 16 * 1024, STATUS_LINES_MOST = 8, QUEUE_NAME_SIZE = 128, AUTHORIZATION_SIZE = 300 };
enum { PERMANENT_REDIRECT = 308 /* RFC 9110 15.4.9; libcups has no name for it */ };

static bool queue_address_read(const char *name, struct printer_address *address, struct fault *fault)
{
    /* CUPS queue names: no space, slash, '#', quotes; lpadmin(8) */
    if (*name == '\0' || strlen(name) >= QUEUE_NAME_SIZE || name[strcspn(name, " \t/#?'\"\\%")] != '\0')
        return fault_set(fault, FAULT_INPUT, "printer 'cups:%.64s': give the name of a queue, as lpstat -p shows it",
                         name);
    struct printer_address read = {.port = ippPort(), .encrypted = cupsEncryption() >= HTTP_ENCRYPTION_REQUIRED};
    if (!span_copy(span_of(cupsServer()), read.host, sizeof read.host))
        return fault_set(fault, FAULT_INPUT, "printer 'cups:%s': the CUPS server's name is too long", name);
    struct builder resource, uri;
    builder_init(&resource, read.resource, sizeof read.resource);
    builder_addf(&resource, "/printers/%s", name);
    builder_init(&uri, read.uri, sizeof read.uri);
    builder_addf(&uri, "ipp://localhost/printers/%s", name);
    *address = read;
    return true;
}

bool printer_address_read(const char *uri, struct printer_address *address, struct fault *fault)
{
    if (strncmp(uri, "cups:", 5) == 0)
        return queue_address_read(uri + 5, address, fault);
    char scheme[16], user[64];
    struct printer_address read = {.port = 0};
    const http_uri_status_t status =
        httpSeparateURI(HTTP_URI_CODING_ALL, uri, scheme, sizeof scheme, user, sizeof user, read.host, sizeof read.host,
                        &read.port, read.resource, sizeof read.resource);
    const bool plain = strcmp(scheme, "ipp") == 0;
    read.encrypted = strcmp(scheme, "ipps") == 0;
    if (status != HTTP_URI_STATUS_OK || (!plain && !read.encrypted) || read.host[0] == '\0' || read.host[0] == '/' ||
        user[0] != '\0' || !span_copy(span_of(uri), read.uri, sizeof read.uri))
        return fault_set(fault, FAULT_INPUT,
                         "printer '%.128s': give ipp://host/ipp/print, ipps://host/ipp/print or cups:QUEUE", uri);
    *address = read;
    return true;
}

static bool document_write_file(http_t *http, const struct printer_document *document)
{
    char block[BLOCK_SIZE];
    for (size_t done = 0; done < document->length;) {
        const size_t left = document->length - done;
        const ssize_t got = pread(document->fd, block, left < sizeof block ? left : sizeof block, (off_t)done);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0 || httpWrite2(http, block, (size_t)got) != got)
            return false;
        done += (size_t)got;
    }
    return true;
}

static bool document_write_bytes(http_t *http, const struct printer_document *document)
{
    const char *const bytes = document->bytes;
    for (size_t done = 0; done < document->length;) {
        const size_t left = document->length - done, block = left < BLOCK_SIZE ? left : BLOCK_SIZE;
        if (httpWrite2(http, bytes + done, block) != (ssize_t)block)
            return false;
        done += block;
    }
    return true;
}

struct question {
    const struct printer_address *address;
    ipp_t *request;
    const struct printer_document *document; /* NULL: none */
    const char *authorization;               /* "": none */
};

/* False: not all went out. `*document_begun` is set before the first byte of the document goes. */
static bool question_write(http_t *http, const struct question *question, bool *document_begun)
{
    ipp_t *const request = question->request;
    const struct printer_document *const document = question->document;
    httpClearFields(http);
    if (question->authorization[0] != '\0')
        httpSetField(http, HTTP_FIELD_AUTHORIZATION, question->authorization);
    httpSetField(http, HTTP_FIELD_CONTENT_TYPE, "application/ipp");
    httpSetLength(http, ippLength(request) + (document ? document->length : 0));
    if (httpPost(http, question->address->resource) != 0)
        return false;
    ippSetState(request, IPP_STATE_IDLE);
    ipp_state_t state = IPP_STATE_IDLE;
    while ((state = ippWrite(http, request)) != IPP_STATE_DATA) {
        if (state == IPP_STATE_ERROR)
            return false;
    }
    if (document) {
        if (httpFlushWrite(http) < 0) /* a printer that is already gone has seen no document */
            return false;
        *document_begun = true;
        if (!(document->bytes ? document_write_bytes(http, document) : document_write_file(http, document)))
            return false;
    }
    return httpFlushWrite(http) >= 0;
}

/* The body of the answer; 0: none, or too long. */
static size_t body_read(http_t *http, uint8_t *bytes, size_t size)
{
    size_t length = 0;
    for (;;) {
        if (length == size)
            return 0;
        const ssize_t got = httpRead2(http, (char *)bytes + length, size - length);
        if (got < 0)
            return 0;
        if (got == 0)
            return length;
        length += (size_t)got;
    }
}

static http_status_t status_read(http_t *http)
{
    http_status_t status = HTTP_STATUS_CONTINUE;
    for (int lines = 0; status == HTTP_STATUS_CONTINUE && lines < STATUS_LINES_MOST; lines++)
        status = httpUpdate(http);
    return status;
}

static ipp_t *answer_read(http_t *http, struct fault *fault)
{
    uint8_t *const bytes = malloc(PRINTER_ANSWER_MOST);
    const size_t length = bytes ? body_read(http, bytes, PRINTER_ANSWER_MOST) : 0;
    ipp_t *const answer = printer_answer_read(bytes, length, fault);
    free(bytes);
    return answer;
}

static enum printer_wire lost(const struct printer_address *address, bool document_begun, struct fault *fault)
{
    fault_set(fault, FAULT_DEVICE,
              document_begun
                  ? "printer '%.128s' stopped answering while the label was sent: it may come out or not, look "
                    "and scan it"
                  : "printer '%.128s' does not answer: check that it is switched on, then print again",
              address->uri);
    return document_begun ? PRINTER_WIRE_LOST : PRINTER_WIRE_NOTHING;
}

/* 4xx, and a redirection that a server gives instead of acting (RFC 9110 15.4): the question was not carried out. "See
 * other" and "found" may follow an act, so they stay unknown. */
static bool is_refusal(http_status_t status)
{
    return (status >= HTTP_STATUS_BAD_REQUEST && status < HTTP_STATUS_SERVER_ERROR) ||
           status == HTTP_STATUS_MOVED_PERMANENTLY || status == HTTP_STATUS_TEMPORARY_REDIRECT ||
           (int)status == PERMANENT_REDIRECT;
}

static enum printer_wire refused(const struct printer_address *address, http_status_t status, struct fault *fault)
{
    const char *advice = "check its address and who may print";
    if (status == HTTP_STATUS_UNAUTHORIZED || status == HTTP_STATUS_FORBIDDEN)
        advice = "it asks who we are: let the kiosk print there without a password; to set a queue going, add the "
                 "kiosk's user to the group lpadmin, or run cupsenable with the queue's name";
    else if (status == HTTP_STATUS_UPGRADE_REQUIRED)
        advice = "it wants encryption: begin its address with ipps://";
    else if (status < HTTP_STATUS_BAD_REQUEST)
        advice = "it sends us to another address: give the printer's own";
    fault_set(fault, FAULT_REFUSED, "printer '%.128s' refuses (HTTP %d): %s", address->uri, (int)status, advice);
    return PRINTER_WIRE_NOTHING;
}

static enum printer_wire exchange(http_t *http, const struct question *question, ipp_t **answer, struct fault *fault)
{
    const struct printer_address *const address = question->address;
    bool document_begun = false;
    question_write(http, question, &document_begun);
    /* Even when the writing broke off: a printer that refuses early answers and hangs up. */
    const http_status_t status = status_read(http);
    if (status == HTTP_STATUS_SERVICE_UNAVAILABLE) {
        fault_set(fault, FAULT_BUSY, "printer '%.128s' is busy: print again in a moment", address->uri);
        return PRINTER_WIRE_BUSY;
    }
    if (is_refusal(status))
        return refused(address, status, fault);
    if (status != HTTP_STATUS_OK)
        return lost(address, document_begun, fault);
    ipp_t *const read = answer_read(http, fault);
    if (!read && document_begun)
        return lost(address, document_begun, fault);
    if (!read)
        return PRINTER_WIRE_NOTHING;
    *answer = read;
    return PRINTER_WIRE_ANSWERED;
}

static http_t *connect_to(const struct printer_address *address, struct fault *fault)
{
    const http_encryption_t encryption = address->encrypted ? HTTP_ENCRYPTION_ALWAYS : HTTP_ENCRYPTION_IF_REQUESTED;
    http_t *const http =
        httpConnect2(address->host, address->port, NULL, AF_UNSPEC, encryption, 1, PRINTER_WIRE_CONNECT_MS, NULL);
    if (http)
        httpSetTimeout(http, PRINTER_WIRE_SILENCE_S, NULL, NULL);
    else
        fault_set(fault, FAULT_MISSING, "printer '%.128s' is not there: check that it is switched on and plugged in",
                  address->uri);
    return http;
}

/* "PeerCred NAME" when the server asks who we are and can see it on its local socket; else "". */
static void authorization_find(http_t *http, const struct printer_address *address, char *buffer, size_t size)
{
    enum { ENTRY_SIZE = 4096 };
    char text[ENTRY_SIZE];
    struct passwd room;
    struct passwd *entry = NULL;
    struct builder builder;
    builder_init(&builder, buffer, size);
    if (httpGetStatus(http) != HTTP_STATUS_UNAUTHORIZED || address->host[0] != '/' ||
        !strstr(httpGetField(http, HTTP_FIELD_WWW_AUTHENTICATE), "PeerCred"))
        return;
    if (getpwuid_r(geteuid(), &room, text, sizeof text, &entry) == 0 && entry)
        builder_addf(&builder, "PeerCred %s", entry->pw_name);
}

static enum printer_wire limited(http_t *http, const struct question *question, ipp_t **answer, struct fault *fault)
{
    struct printer_limit *const limit = printer_limit_begin(httpGetFd(http), PRINTER_WIRE_TOTAL_MS);
    if (!limit) {
        fault_set(fault, FAULT_STORAGE, "printer '%.128s': no memory to ask it", question->address->uri);
        return PRINTER_WIRE_NOTHING;
    }
    const enum printer_wire outcome = exchange(http, question, answer, fault);
    printer_limit_end(limit);
    return outcome;
}

enum printer_wire printer_wire_ask(const struct printer_address *address, ipp_t *request,
                                   const struct printer_document *document, ipp_t **answer, struct fault *fault)
{
    char authorization[AUTHORIZATION_SIZE] = "";
    const struct question question = {address, request, document, authorization};
    for (bool again = false;; again = true) {
        http_t *const http = connect_to(address, fault);
        if (!http)
            return PRINTER_WIRE_NOTHING;
        const enum printer_wire outcome = limited(http, &question, answer, fault);
        if (!again)
            authorization_find(http, address, authorization, sizeof authorization);
        httpClose(http);
        if (again || authorization[0] == '\0')
            return outcome;
    }
}
