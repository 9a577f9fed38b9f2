#ifndef KIOSK_DEVICES_PRINTER_REQUEST_H
#define KIOSK_DEVICES_PRINTER_REQUEST_H

#include <stdbool.h>
#include <stddef.h>

#include <cups/cups.h>

#include "kiosk/devices/printer.h"
#include "kiosk/devices/printer_wire.h"

/* What the files behind printer.h share: the questions as IPP attributes, and an answer's refusal as a sentence. */

struct printer {
    struct printer_address address;
};

/* A question about the printer. The caller ends it with ippDelete. */
ipp_t *printer_request_new(const struct printer *printer, ipp_op_t operation);
/* A question about one of its jobs; job-id stands where RFC 8011 4.1.5 wants it, before the user's name. */
ipp_t *printer_request_new_job(const struct printer *printer, ipp_op_t operation, int job_id);
/* Print-Job: the exact size, unscaled, and of the rest what `job->facts` (not NULL) offer. */
ipp_t *printer_request_new_print(const struct printer *printer, const struct printer_job *job);

/* Adds "requested-attributes". */
void printer_request_want(ipp_t *request, const char *const names[], size_t count);

/* RFC 8011 B.1.2: successful-ok and its relatives. */
bool printer_request_is_done(ipp_t *answer);

/* The printer's own word for what it did not like, into `fault`; a refusal for want of a right gets advice of its own.
 * Returns false. */
bool printer_request_fault(const struct printer *printer, ipp_t *answer, enum fault_code code, const char *advice,
                           struct fault *fault);

/* Asks, without a document, and ends `request`. False: no answer or a refusal, `fault` is filled and `*answer` NULL;
 * else `*answer` is the caller's to ippDelete. */
bool printer_request_ask(const struct printer *printer, ipp_t *request, const char *advice, ipp_t **answer,
                         struct fault *fault);

#endif
