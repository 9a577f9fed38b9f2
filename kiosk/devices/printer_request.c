#include "kiosk/devices/printer_request.h"

#include <string.h>

static void user_add(ipp_t *request)
{
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "requesting-user-name", NULL, PRINTER_USER);
}

static ipp_t *bare_new(const struct printer *printer, ipp_op_t operation)
{
    ipp_t *const request = ippNewRequest(operation); /* charset and language are in it */
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_URI, "printer-uri", NULL, printer->address.uri);
    return request;
}

ipp_t *printer_request_new(const struct printer *printer, ipp_op_t operation)
{
    ipp_t *const request = bare_new(printer, operation);
    user_add(request);
    return request;
}

ipp_t *printer_request_new_job(const struct printer *printer, ipp_op_t operation, int job_id)
{
    ipp_t *const request = bare_new(printer, operation);
    ippAddInteger(request, IPP_TAG_OPERATION, IPP_TAG_INTEGER, "job-id", job_id);
    user_add(request);
    return request;
}

void printer_request_want(ipp_t *request, const char *const names[], size_t count)
{
    ippAddStrings(request, IPP_TAG_OPERATION, IPP_TAG_KEYWORD, "requested-attributes", (int)count, NULL, names);
}

static bool offers_type(const struct printer_facts *facts, const char *type)
{
    for (size_t i = 0; type && i < facts->type_count; i++) {
        if (strcmp(facts->types[i], type) == 0)
            return true;
    }
    return false;
}

/* The exact size, by its numbers; its name only where it says the same. Margins 0, for the raster covers the whole
 * label. PWG 5100.7. */
static void media_add(ipp_t *request, const struct printer_job *job)
{
    const struct printer_facts *const facts = job->facts;
    const struct {
        const char *name;
        bool offered;
    } margins[] = {{"media-bottom-margin", facts->margin_bottom},
                   {"media-left-margin", facts->margin_left},
                   {"media-right-margin", facts->margin_right},
                   {"media-top-margin", facts->margin_top}};
    ipp_t *const size = ippNew(), *const media = ippNew();
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "x-dimension", job->media_x);
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "y-dimension", job->media_y);
    ippAddCollection(media, IPP_TAG_ZERO, "media-size", size);
    if (job->media_name && printer_media_name_fits(job->media_name, job->media_x, job->media_y))
        ippAddString(media, IPP_TAG_ZERO, IPP_TAG_KEYWORD, "media-size-name", NULL, job->media_name);
    for (size_t i = 0; i < sizeof margins / sizeof *margins; i++) {
        if (margins[i].offered)
            ippAddInteger(media, IPP_TAG_ZERO, IPP_TAG_INTEGER, margins[i].name, 0);
    }
    if (facts->trackings[job->tracking])
        ippAddString(media, IPP_TAG_ZERO, IPP_TAG_KEYWORD, "media-tracking", NULL,
                     printer_tracking_word(job->tracking));
    if (offers_type(facts, job->media_type))
        ippAddString(media, IPP_TAG_ZERO, IPP_TAG_KEYWORD, "media-type", NULL, job->media_type);
    ippAddCollection(request, IPP_TAG_JOB, "media-col", media);
    ippDelete(size); /* the request keeps its own counts */
    ippDelete(media);
}

ipp_t *printer_request_new_print(const struct printer *printer, const struct printer_job *job)
{
    const struct printer_facts *const facts = job->facts;
    char name[PRINTER_NAME_SIZE];
    printer_answer_text(job->name, name, sizeof name);
    ipp_t *const request = printer_request_new(printer, IPP_OP_PRINT_JOB);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "job-name", NULL, name[0] ? name : "label");
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_MIMETYPE, "document-format", NULL, "image/pwg-raster");
    ippAddInteger(request, IPP_TAG_JOB, IPP_TAG_INTEGER, "copies", 1);
    media_add(request, job);
    if (facts->unscaled)
        ippAddString(request, IPP_TAG_JOB, IPP_TAG_KEYWORD, "print-scaling", NULL, "none");
    if (facts->resolution_asked)
        ippAddResolution(request, IPP_TAG_JOB, "printer-resolution", IPP_RES_PER_INCH, job->resolution_dpi,
                         job->resolution_dpi);
    if (job->darkness != 0 && facts->darkness.least < facts->darkness.most)
        ippAddInteger(request, IPP_TAG_JOB, IPP_TAG_INTEGER, "print-darkness", job->darkness);
    if (job->speed != 0 && facts->speed_count > 0)
        ippAddInteger(request, IPP_TAG_JOB, IPP_TAG_INTEGER, "print-speed", job->speed);
    return request;
}

bool printer_request_is_done(ipp_t *answer)
{
    const int status = ippGetStatusCode(answer);
    return status >= 0 && status < 0x0100;
}

bool printer_request_fault(const struct printer *printer, ipp_t *answer, enum fault_code code, const char *advice,
                           struct fault *fault)
{
    char said[PRINTER_TEXT_SIZE];
    const ipp_status_t status = ippGetStatusCode(answer);
    printer_answer_text(ippGetString(ippFindAttribute(answer, "status-message", IPP_TAG_ZERO), 0, NULL), said,
                        sizeof said);
    if (status == IPP_STATUS_ERROR_FORBIDDEN || status == IPP_STATUS_ERROR_NOT_AUTHENTICATED ||
        status == IPP_STATUS_ERROR_NOT_AUTHORIZED) {
        code = FAULT_REFUSED;
        advice = "the kiosk's user may not do that there: add it to the group lpadmin, or do it at the queue";
    }
    return fault_set(fault, code, "printer '%.128s' says '%s' (%s): %s", printer->address.uri, ippErrorString(status),
                     said, advice);
}

bool printer_request_ask(const struct printer *printer, ipp_t *request, const char *advice, ipp_t **answer,
                         struct fault *fault)
{
    ipp_t *read = NULL;
    bool ok = printer_wire_ask(&printer->address, request, NULL, &read, fault) == PRINTER_WIRE_ANSWERED;
    if (ok && !printer_request_is_done(read)) {
        ok = printer_request_fault(printer, read, FAULT_DEVICE, advice, fault);
        ippDelete(read);
    }
    ippDelete(request);
    *answer = ok ? read : NULL;
    return ok;
}
