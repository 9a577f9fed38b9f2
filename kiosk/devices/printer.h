#ifndef KIOSK_DEVICES_PRINTER_H
#define KIOSK_DEVICES_PRINTER_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/devices/printer_answer.h"
#include "kiosk/devices/printer_reason.h"
#include "labels/basics/fault.h"

/* Printing labels over IPP, straight to the printer or to a CUPS queue. A label goes out as PWG raster (PWG 5102.4) at
 * the printer's own resolution on its exact size, never as PDF and never scaled: a renderer in between would blur the
 * modules of the symbol.
 *
 * Calls wait on the network for seconds (limits in printer_wire.h), so each printer gets its own thread; a struct is
 * used by one thread at a time. Nothing stays connected between calls.
 *
 * "Completed" is what the printer claims. A queue says it also when the printer lost the label: then the printer's
 * reasons hold "cups-ipp-missing-job-history". A label is proved by scanning it. */

struct printer;

/* "ipp://host[:port]/ipp/print", "ipps://…", "ipp://localhost/printers/QUEUE" or "cups:QUEUE". Does not connect.
 * NULL: `fault` says what is wrong in the address. */
struct printer *printer_open(const char *uri, struct fault *fault);
void printer_close(struct printer *printer); /* NULL allowed */

/* Asks for state, reasons, sizes and resolutions. False: not there, or no printer; `facts` untouched. */
bool printer_query(const struct printer *printer, struct printer_facts *facts, struct fault *fault);

struct printer_job {   /* all borrowed for the call */
    const char *name;  /* shown at the printer; cut to 255 bytes */
    const void *bytes; /* PWG raster; or NULL, then it is the file behind `fd`, read from its beginning */
    size_t length;     /* of `bytes` */
    int fd;
    int media_x, media_y;   /* 1/100 mm, x across the print head */
    const char *media_name; /* as the printer names that size; NULL: size alone */
    int resolution_dpi;     /* of the raster */
};

enum printer_sent {
    PRINTER_SENT,     /* taken: `*job_id` is set */
    PRINTER_NOT_SENT, /* not there, or refused: nothing comes out, safe to try again once the cause is gone */
    PRINTER_BUSY,     /* has another job: try again in a second or two */
    PRINTER_UNKNOWN   /* bytes of the label went out and no clear answer came: it may come out, now or later, or not.
                         Do not send again before somebody has looked. */
};

/* Sends one label. A document that is not PWG raster of that size and resolution is PRINTER_NOT_SENT with FAULT_INPUT.
 * Other than PRINTER_SENT: `*job_id` untouched, `fault` filled. */
enum printer_sent printer_send(const struct printer *printer, const struct printer_job *job, int *job_id,
                               struct fault *fault);

/* How the job stands. False: no answer this time (ask again); both untouched. A printer that does not know the job
 * number is an answer: PRINTER_JOB_GONE. Job numbers of a printer start again at 1 when it is switched off and on. */
bool printer_poll(const struct printer *printer, int job_id, enum printer_job_state *state,
                  struct printer_reasons *reasons, struct fault *fault);

#endif
