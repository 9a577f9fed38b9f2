#ifndef KIOSK_PROGRAM_PRINT_CONTROL_H
#define KIOSK_PROGRAM_PRINT_CONTROL_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* What a person may tell the label printer from the counter: drop a label it has, go on after a stop. Waits on the
 * network as printer.h does. False: it refused or did not answer; the sentence says what to do at the printer. */

/* IPP Cancel-Job, RFC 8011 4.3.3. A label of which a part is out already may come out whole or in part. */
bool print_control_cancel(const char *uri, int job, struct fault *fault);
/* IPP Resume-Printer, RFC 8011 4.2.8. A CUPS queue lets only its administrators do this. */
bool print_control_resume(const char *uri, struct fault *fault);

#endif
