#include "kiosk/devices/printer.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "kiosk/devices/printer_raster.h"
#include "kiosk/devices/printer_request.h"
#include "kiosk/devices/printer_wire.h"

enum { DOCUMENT_MOST = 64 * 1024 * 1024 };

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

bool printer_query(const struct printer *printer, struct printer_facts *facts, struct fault *fault)
{
    static const char *const wanted[] = {
        "device-uri",
        "document-format-supported",
        "media-bottom-margin-supported",
        "media-col-default",
        "media-col-ready",
        "media-default",
        "media-left-margin-supported",
        "media-ready",
        "media-right-margin-supported",
        "media-size-supported",
        "media-top-margin-supported",
        "media-tracking-supported",
        "media-type-supported",
        "operations-supported",
        "print-darkness-supported",
        "print-scaling-supported",
        "print-speed-default",
        "print-speed-supported",
        "printer-darkness-configured",
        "printer-is-accepting-jobs",
        "printer-make-and-model",
        "printer-resolution-default",
        "printer-resolution-supported",
        "printer-state",
        "printer-state-message",
        "printer-state-reasons",
        "printer-type",
        "printer-up-time",
        "pwg-raster-document-resolution-supported",
        "pwg-raster-document-type-supported",
        "queued-job-count",
    };
    ipp_t *const request = printer_request_new(printer, IPP_OP_GET_PRINTER_ATTRIBUTES);
    printer_request_want(request, wanted, sizeof wanted / sizeof *wanted);
    ipp_t *answer;
    if (!printer_request_ask(printer, request, "check its address", &answer, fault))
        return false;
    const bool ok = printer_facts_read(answer, facts, fault);
    ippDelete(answer);
    return ok;
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
        printer_request_fault(printer, answer, FAULT_BUSY, "print again in a moment", fault);
        return PRINTER_BUSY;
    case IPP_STATUS_ERROR_NOT_ACCEPTING_JOBS:
    case IPP_STATUS_ERROR_OPERATION_NOT_SUPPORTED:
    case IPP_STATUS_ERROR_VERSION_NOT_SUPPORTED:
        printer_request_fault(printer, answer, FAULT_REFUSED, "let it take jobs again at its display or queue", fault);
        return PRINTER_NOT_SENT;
    default:
        if (status >= IPP_STATUS_ERROR_BAD_REQUEST && status < IPP_STATUS_ERROR_INTERNAL) {
            printer_request_fault(printer, answer, FAULT_REFUSED, "ask who looks after the kiosk", fault);
            return PRINTER_NOT_SENT;
        }
        /* internal error, device error, canceled meanwhile: it had the document when that happened */
        printer_request_fault(printer, answer, FAULT_DEVICE, "the label may come out or not, look and scan it", fault);
        return PRINTER_UNKNOWN;
    }
}

static enum printer_sent answer_outcome(const struct printer *printer, ipp_t *answer, int *job_id, struct fault *fault)
{
    if (!printer_request_is_done(answer))
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

static bool offers_resolution(const struct printer_facts *facts, int dpi)
{
    for (size_t i = 0; i < facts->resolution_count; i++) {
        if (facts->resolutions_dpi[i] == dpi)
            return true;
    }
    return facts->resolution_count == 0;
}

static bool offers_speed(const struct printer_facts *facts, int speed)
{
    for (size_t i = 0; i < facts->speed_count; i++) {
        if (speed >= facts->speeds[i].least && speed <= facts->speeds[i].most)
            return true;
    }
    return speed == 0 || facts->speed_count == 0; /* not offered: not sent */
}

/* Wishes that the printer would bend to its own taste, or refuse in words of its own. */
static bool wishes_check(const struct printer *printer, const struct printer_job *job, struct fault *fault)
{
    const struct printer_facts *const facts = job->facts;
    const struct printer_range darkness = facts->darkness;
    const char *const uri = printer->address.uri;
    if (!facts->accepts_raster)
        return fault_set(fault, FAULT_REFUSED,
                         "printer '%.128s' takes no label pictures (image/pwg-raster): make its queue anew with "
                         "lpadmin -m everywhere, or choose another printer",
                         uri);
    if (!offers_resolution(facts, job->resolution_dpi))
        return fault_set(fault, FAULT_INPUT,
                         "printer '%.128s' prints %d dpi and the label is drawn at %d: draw it again", uri,
                         facts->resolutions_dpi[0], job->resolution_dpi);
    if (job->darkness != 0 && darkness.least < darkness.most &&
        (job->darkness < darkness.least || job->darkness > darkness.most))
        return fault_set(fault, FAULT_INPUT,
                         "printer '%.128s' prints darkness %d to %d, and %d is asked for: set it within them", uri,
                         darkness.least, darkness.most, job->darkness);
    if (!offers_speed(facts, job->speed))
        return fault_set(fault, FAULT_INPUT,
                         "printer '%.128s' does not print %d.%02d mm a second; its lowest speed is %d.%02d: choose "
                         "one that it has",
                         uri, job->speed / 100, job->speed % 100, facts->speeds[0].least / 100,
                         facts->speeds[0].least % 100);
    return true;
}

static enum printer_sent document_send(const struct printer *printer, const struct printer_job *job,
                                       const struct printer_document *document, int *job_id, struct fault *fault)
{
    static const enum printer_sent outcomes[] = {[PRINTER_WIRE_NOTHING] = PRINTER_NOT_SENT,
                                                 [PRINTER_WIRE_BUSY] = PRINTER_BUSY,
                                                 [PRINTER_WIRE_LOST] = PRINTER_UNKNOWN};
    ipp_t *const request = printer_request_new_print(printer, job);
    ipp_t *answer = NULL;
    const enum printer_wire wire = printer_wire_ask(&printer->address, request, document, &answer, fault);
    const enum printer_sent outcome =
        wire == PRINTER_WIRE_ANSWERED ? answer_outcome(printer, answer, job_id, fault) : outcomes[wire];
    ippDelete(answer);
    ippDelete(request);
    return outcome;
}

enum printer_sent printer_send(const struct printer *printer, const struct printer_job *job, int *job_id,
                               struct fault *fault)
{
    struct printer_document document;
    struct printer_job known = *job;
    struct printer_facts *facts = NULL;
    enum printer_sent outcome = PRINTER_NOT_SENT;
    if (!document_find(job, &document, fault))
        return PRINTER_NOT_SENT;
    if (!known.facts) {
        facts = calloc(1, sizeof *facts);
        known.facts = facts;
        if (!facts)
            fault_set(fault, FAULT_STORAGE, "label '%.64s': no memory to send it", job->name);
        if (!facts || !printer_query(printer, facts, fault))
            goto done;
    }
    if (wishes_check(printer, &known, fault))
        outcome = document_send(printer, &known, &document, job_id, fault);
done:
    free(facts);
    return outcome;
}
