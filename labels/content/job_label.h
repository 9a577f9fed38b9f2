#ifndef LABELS_CONTENT_JOB_LABEL_H
#define LABELS_CONTENT_JOB_LABEL_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/ticket_time.h"
#include "labels/content/unit_label.h"

/* A job's ticket: one ISO/IEC 15434 envelope of format 06 that carries
 *   W    the job's code (work order number, internally assigned)
 *   10S  the printer's code (machine, cell or tool)
 *   P    resin: its type, or an item's code (item code by the customer)
 *   2P   its revision
 *   7Q   what it needs in whole ML (quantity and its unit)
 *   23D  when it ends, in UTC: YYYYMMDDHHMM or YYYYMMDD (date in modified UTC compliant form)
 * in this order when written and in any order when read. Source: ANSI MH10.8.2-2021, what it says of each in brackets.
 * Only W must be there; what else is there lets a kiosk that has not heard of the job know enough.
 *
 * A code of W with anything but these fields is somebody else's. Nothing in it is checked by a digit, so one whose end
 * is missing is refused: a shorter code could be another job. */

enum {
    JOB_LABEL_CODE_SIZE = 17,    /* [0-9A-Z./-]{1,16} */
    JOB_LABEL_PRINTER_SIZE = 17, /* [0-9A-Z-]{1,16} */
    JOB_LABEL_RESIN_SIZE = 21,   /* printable ASCII, blanks inside too, as for the revision */
    JOB_LABEL_REVISION_SIZE = 9,
    JOB_LABEL_NEED_MAX = 99999999 /* 7Q: eight digits */
};

struct job_label {
    char code[JOB_LABEL_CODE_SIZE];
    char printer[JOB_LABEL_PRINTER_SIZE]; /* "" when absent, as for the next two */
    char resin[JOB_LABEL_RESIN_SIZE];
    char revision[JOB_LABEL_REVISION_SIZE];
    long need_ml; /* 0: absent */
    bool has_ends;
    struct ticket_time ends; /* its offset is no part of the symbol: UTC when read */
};

/* May the text stand in this field of a ticket? Of what may not, the rest of the ticket can still be written. */
bool job_label_code_fits(struct span text);
bool job_label_printer_fits(struct span text);
bool job_label_resin_fits(struct span text);
bool job_label_revision_fits(struct span text);

/* Writes the envelope (a NUL is added). FAULT_INPUT names what does not fit. */
bool job_label_write(const struct job_label *label, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                     struct fault *fault);

#endif
