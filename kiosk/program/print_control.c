#include "kiosk/program/print_control.h"

#include "kiosk/devices/printer_wire.h"

static ipp_t *request_new(ipp_op_t operation, const char *uri)
{
    ipp_t *const request = ippNewRequest(operation);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_URI, "printer-uri", NULL, uri);
    return request;
}

/* Sends and frees the request. */
static bool tell(const struct printer_address *address, ipp_t *request, const char *advice, struct fault *fault)
{
    ipp_t *answer = NULL;
    bool done = printer_wire_ask(address, request, NULL, &answer, fault) == PRINTER_WIRE_ANSWERED;
    const ipp_status_t status = done ? ippGetStatusCode(answer) : IPP_STATUS_OK;
    if (done && status >= IPP_STATUS_ERROR_BAD_REQUEST) /* RFC 8011 B.1.4 and B.1.5: from 0x0400 on it was not done */
        done = fault_set(fault, FAULT_DEVICE, "The label printer answers '%s': %s", ippErrorString(status), advice);
    ippDelete(answer);
    ippDelete(request);
    return done;
}

bool print_control_cancel(const char *uri, int job, struct fault *fault)
{
    struct printer_address address;
    if (!printer_address_read(uri, &address, fault))
        return false;
    ipp_t *const request = request_new(IPP_OP_CANCEL_JOB, address.uri);
    ippAddInteger(request, IPP_TAG_OPERATION, IPP_TAG_INTEGER, "job-id", job);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "requesting-user-name", NULL, "ambershelf");
    return tell(&address, request, "the label may come out, or cancel it at its display", fault);
}

bool print_control_resume(const char *uri, struct fault *fault)
{
    struct printer_address address;
    if (!printer_address_read(uri, &address, fault))
        return false;
    ipp_t *const request = request_new(IPP_OP_RESUME_PRINTER, address.uri);
    ippAddString(request, IPP_TAG_OPERATION, IPP_TAG_NAME, "requesting-user-name", NULL, "ambershelf");
    return tell(&address, request, "set it going at its panel, or ask who looks after the kiosk", fault);
}
