#ifndef KIOSK_DEVICES_PRINTER_STANDING_H
#define KIOSK_DEVICES_PRINTER_STANDING_H

#include <stdbool.h>
#include <stddef.h>

#include <cups/cups.h>

#include "kiosk/devices/printer_reason.h"
#include "labels/basics/fault.h"

/* How a job stands, as the printer tells it (RFC 8011 5.3), and how far that can be believed: enough for the caller
 * never to print a label twice or to lose one silently. */

enum {
    PRINTER_NAME_SIZE = 256, /* RFC 8011 5.1.3: name(MAX), 255 octets */
    PRINTER_JOBS_MOST = 64
};

/* In whose name we print: a printer's list of jobs shows ours by it. */
#define PRINTER_USER "ambershelf"

enum printer_job_state {
    PRINTER_JOB_PENDING,
    PRINTER_JOB_PROCESSING, /* also while it waits for labels: the reasons say so */
    PRINTER_JOB_COMPLETED,  /* what the printer claims; proved only by a scan of the label */
    PRINTER_JOB_CANCELED,
    PRINTER_JOB_ABORTED,
    PRINTER_JOB_GONE /* the printer does not know it (any more): it may have come out or not */
};

enum printer_certainty {
    PRINTER_UNDER_WAY,     /* it may still come out: wait, or cancel it */
    PRINTER_CAME_OUT,      /* as far as the printer says */
    PRINTER_MAY_HAVE,      /* somebody has to look: neither send again nor forget */
    PRINTER_DID_NOT,       /* it ended before the printer had begun it: safe to send again */
    PRINTER_CAME_OUT_TWICE /* a queue counted more labels than were sent */
};

struct printer_standing {
    int job_id;
    char name[PRINTER_NAME_SIZE]; /* "" when the printer does not say: CUPS hides other people's */
    bool ours;                    /* sent in the name PRINTER_USER, by this kiosk or another one */
    enum printer_job_state state;
    enum printer_certainty certainty;
    /* The printer had begun it and it waits again: a queue that was stopped, or lost its printer, in the middle of a
     * job sends it again from its beginning (CUPS, measured). Cancel it before it does, or ask. */
    bool starts_over;
    int impressions;                /* labels that were counted; 0: it does not say */
    struct printer_reasons reasons; /* job-state-reasons, then what a queue says of its printer in this job */
};

/* The certainty, knowing what the queue or printer said of itself before the label was sent. A queue that noted once
 * that its printer had forgotten a label says so of every later one (CUPS, measured), even of those that came out: what
 * it said already counts for nothing. It then cannot tell of a second one lost like that either, which leaves the scan.
 */
enum printer_certainty printer_standing_since(const struct printer_standing *standing,
                                              const struct printer_reasons *before);

/* As it was sent with `name`: what stands in an answer is cleaned and cut. */
bool printer_standing_has_name(const struct printer_standing *standing, const char *name);

/* The jobs in an answer to Get-Job-Attributes, Print-Job or Get-Jobs; `*count` at most `most`, the rest is left out.
 * A job without a number or a state that counts is passed over. */
void printer_standing_read(ipp_t *answer, struct printer_standing list[], size_t most, size_t *count);

#endif
