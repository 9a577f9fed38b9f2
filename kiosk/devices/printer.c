#include "kiosk/devices/printer.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "kiosk/devices/printer_raster.h"
#include "kiosk/devices/printer_wire.h"
#include "labels/basics/text.h"

enum { JOB_NAME_SIZE = 256 /* RFC 8011: name(MAX), 255 octets */, DOCUMENT_MOST = 64 * 1024 * 1024 };

struct printer {
    struct printer_address address;
};

struct printer *printer_open(const char *uri, struct fault *fault)
{
    struct printer *printer = calloc(1, sizeof *printer);
    if (!printer)
        fault_set(fault, FAULT_STORAGE, "printer '%.128s': out of memory", uri);
    else if (printer_address_read(uri, &printer->address, fault))
        return printer;
    free(printer);
    return NULL;
}

void printer_close(struct printer *printer)
{
    free(printer);
}

static ipp_t *request_new(const struct printer *printer, ipp_op_t operation)
{
    ipp_t *const request = ippNewRequest(operation); /* charset and language are in it */
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_URI, "printer-uri", NULL, printer->address.uri);
    if (operation == IPP_OP_GET_JOB_ATTRIBUTES)
        return request; /* job-id has to come before the user's name */
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "requesting-user-name", NULL, "ambershelf");
    return request;
}

/* The printer's own word for what it did not like, into a fault; a stranger's text, so cleaned and cut. */
static bool status_fault(const struct printer *printer, ipp_t *answer, enum fault_code code, const char *advice,
                         struct fault *fault)
{
    char said[PRINTER_TEXT_SIZE];
    printer_answer_text(ippGetString(ippFindAttribute(answer, "status-message", IPP_TAG_ZERO), 0, NULL), said,
                        sizeof said);
    return fault_set(fault, code, "printer '%.128s' says '%s' (%s): %s", printer->address.uri,
                     ippErrorString(ippGetStatusCode(answer)), said, advice);
}

static bool is_success(ipp_t *answer)
{
    const int status = ippGetStatusCode(answer);
    return status >= 0 && status < 0x0100; /* RFC 8011 B.1.2 */
}

bool printer_query(const struct printer *printer, struct printer_facts *facts, struct fault *fault)
{
    static const char *const wanted[] = {
        "document-format-supported",
        "media-col-default",
        "media-col-ready",
        "media-default",
        "media-ready",
        "printer-is-accepting-jobs",
        "printer-make-and-model",
        "printer-resolution-default",
        "printer-resolution-supported",
        "printer-state",
        "printer-state-message",
        "printer-state-reasons",
        "pwg-raster-document-resolution-supported",
        "pwg-raster-document-type-supported",
    };
    ipp_t *const request = request_new(printer, IPP_OP_GET_PRINTER_ATTRIBUTES);
    ippAddStrings(request, IPP_TAG_OPERATION, IPP_TAG_KEYWORD, "requested-attributes",
                  (int)(sizeof wanted / sizeof *wanted), NULL, wanted);
    ipp_t *answer = NULL;
    bool ok = printer_wire_ask(&printer->address, request, NULL, &answer, fault) == PRINTER_WIRE_ANSWERED;
    if (ok && !is_success(answer))
        ok = status_fault(printer, answer, FAULT_DEVICE, "check its address", fault);
    ok = ok && printer_answer_facts(answer, facts, fault);
    ippDelete(answer);
    ippDelete(request);
    return ok;
}

/* The exact size. Margins 0, for the raster covers the whole label; the name belongs to the same size. PWG 5100.7. */
static void media_add(ipp_t *request, const struct printer_job *job)
{
    static const char *const margins[] = {"media-bottom-margin", "media-left-margin", "media-right-margin",
                                          "media-top-margin"};
    ipp_t *const size = ippNew(), *const media = ippNew();
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "x-dimension", job->media_x);
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "y-dimension", job->media_y);
    ippAddCollection(media, IPP_TAG_ZERO, "media-size", size);
    if (job->media_name && job->media_name[0] != '\0')
        ippAddString(media, IPP_TAG_ZERO, IPP_TAG_KEYWORD, "media-size-name", NULL, job->media_name);
    for (size_t i = 0; i < sizeof margins / sizeof *margins; i++)
        ippAddInteger(media, IPP_TAG_ZERO, IPP_TAG_INTEGER, margins[i], 0);
    ippAddCollection(request, IPP_TAG_JOB, "media-col", media);
    ippDelete(size); /* the request keeps its own counts */
    ippDelete(media);
}

static ipp_t *job_request(const struct printer *printer, const struct printer_job *job)
{
    char name[JOB_NAME_SIZE];
    printer_answer_text(job->name, name, sizeof name);
    ipp_t *const request = request_new(printer, IPP_OP_PRINT_JOB);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "job-name", NULL, name[0] ? name : "label");
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_MIMETYPE, "document-format", NULL, "image/pwg-raster");
    ippAddInteger(request, IPP_TAG_JOB, IPP_TAG_INTEGER, "copies", 1);
    media_add(request, job);
    ippAddString(request, IPP_TAG_JOB, IPP_TAG_KEYWORD, "print-scaling", NULL, "none");
    ippAddResolution(request, IPP_TAG_JOB, "printer-resolution", IPP_RES_PER_INCH, job->resolution_dpi,
                     job->resolution_dpi);
    return request;
}

static bool document_find(const struct printer_job *job, struct printer_document *document, struct fault *fault)
{
    *document = (struct printer_document){job->bytes, job->fd, job->length};
    if (!job->bytes) {
        struct stat file;
        if (fstat(job->fd, &file) != 0 || !S_ISREG(file.st_mode) || file.st_size < 0)
            return fault_set(fault, FAULT_STORAGE, "label '%.64s': its file cannot be read: draw it again", job->name);
        document->length = (size_t)file.st_size;
    }
    if (document->length > DOCUMENT_MOST)
        return fault_set(fault, FAULT_INPUT, "label '%.64s' has %zu bytes, more than %d: is it a label?", job->name,
                         document->length, DOCUMENT_MOST);
    return printer_raster_check(document, job->media_x, job->media_y, job->resolution_dpi, fault);
}

static enum printer_sent status_outcome(const struct printer *printer, ipp_t *answer, struct fault *fault)
{
    const ipp_status_t status = ippGetStatusCode(answer);
    switch (status) {
    case IPP_STATUS_ERROR_BUSY:
    case IPP_STATUS_ERROR_SERVICE_UNAVAILABLE:
        status_fault(printer, answer, FAULT_BUSY, "print again in a moment", fault);
        return PRINTER_BUSY;
    case IPP_STATUS_ERROR_NOT_ACCEPTING_JOBS:
    case IPP_STATUS_ERROR_OPERATION_NOT_SUPPORTED:
    case IPP_STATUS_ERROR_VERSION_NOT_SUPPORTED:
        status_fault(printer, answer, FAULT_REFUSED, "let it take jobs again at its display or queue", fault);
        return PRINTER_NOT_SENT;
    default:
        if (status >= IPP_STATUS_ERROR_BAD_REQUEST && status < IPP_STATUS_ERROR_INTERNAL) {
            status_fault(printer, answer, FAULT_REFUSED, "ask who looks after the kiosk", fault);
            return PRINTER_NOT_SENT;
        }
        /* internal error, device error, canceled meanwhile: it had the document when that happened */
        status_fault(printer, answer, FAULT_DEVICE, "the label may come out or not, look and scan it", fault);
        return PRINTER_UNKNOWN;
    }
}

static enum printer_sent answer_outcome(const struct printer *printer, ipp_t *answer, int *job_id, struct fault *fault)
{
    if (!is_success(answer))
        return status_outcome(printer, answer, fault);
    const int id = printer_answer_job_id(answer);
    if (id == 0) {
        fault_set(fault, FAULT_DEVICE, "printer '%.128s' took the label and gave no number for it: look and scan it",
                  printer->address.uri);
        return PRINTER_UNKNOWN;
    }
    *job_id = id;
    return PRINTER_SENT;
}

enum printer_sent printer_send(const struct printer *printer, const struct printer_job *job, int *job_id,
                               struct fault *fault)
{
    static const enum printer_sent outcomes[] = {[PRINTER_WIRE_NOTHING] = PRINTER_NOT_SENT,
                                                 [PRINTER_WIRE_BUSY] = PRINTER_BUSY,
                                                 [PRINTER_WIRE_LOST] = PRINTER_UNKNOWN};
    struct printer_document document;
    if (!document_find(job, &document, fault))
        return PRINTER_NOT_SENT;
    ipp_t *const request = job_request(printer, job);
    ipp_t *answer = NULL;
    const enum printer_wire wire = printer_wire_ask(&printer->address, request, &document, &answer, fault);
    const enum printer_sent outcome =
        wire == PRINTER_WIRE_ANSWERED ? answer_outcome(printer, answer, job_id, fault) : outcomes[wire];
    ippDelete(answer);
    ippDelete(request);
    return outcome;
}

bool printer_poll(const struct printer *printer, int job_id, enum printer_job_state *state,
                  struct printer_reasons *reasons, struct fault *fault)
{
    static const char *const wanted[] = {"job-id", "job-state", "job-state-reasons"};
    ipp_t *const request = request_new(printer, IPP_OP_GET_JOB_ATTRIBUTES);
    ippAddInteger(request, IPP_TAG_OPERATION, IPP_TAG_INTEGER, "job-id", job_id);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "requesting-user-name", NULL, "ambershelf");
    ippAddStrings(request, IPP_TAG_OPERATION, IPP_TAG_KEYWORD, "requested-attributes",
                  (int)(sizeof wanted / sizeof *wanted), NULL, wanted);
    ipp_t *answer = NULL;
    bool ok = printer_wire_ask(&printer->address, request, NULL, &answer, fault) == PRINTER_WIRE_ANSWERED;
    const ipp_status_t status = ok ? ippGetStatusCode(answer) : IPP_STATUS_OK;
    if (ok && (status == IPP_STATUS_ERROR_NOT_FOUND || status == IPP_STATUS_ERROR_GONE)) {
        *state = PRINTER_JOB_GONE;
        reasons->count = 0;
    } else if (ok && !is_success(answer)) {
        ok = status_fault(printer, answer, FAULT_DEVICE, "ask again", fault);
    } else {
        ok = ok && printer_answer_job(answer, state, reasons, fault);
    }
    ippDelete(answer);
    ippDelete(request);
    return ok;
}
