#ifndef KIOSK_DEVICES_PRINTER_ANSWER_H
#define KIOSK_DEVICES_PRINTER_ANSWER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cups/cups.h>

#include "kiosk/devices/printer_reason.h"
#include "labels/basics/fault.h"

/* What a printer answers, taken out of its IPP attributes (RFC 8010, 8011; PWG 5100.7 for media-col, PWG 5100.14 for
 * image/pwg-raster). A printer's word is a stranger's: every list and text is bounded, texts are made valid UTF-8
 * without control or direction characters, sizes that no label has are dropped. Lengths are 1/100 mm, as in IPP.
 * Pure but for the memory inside libcups. */

enum {
    PRINTER_ANSWER_MOST = 256 * 1024, /* bytes of one answer; the demo printer's has 5 KB */
    PRINTER_TEXT_SIZE = 128,
    PRINTER_RESOLUTIONS_MOST = 8,
    PRINTER_MEDIA_MOST = 8,
    PRINTER_SIDE_LEAST = 100,   /* 1 mm */
    PRINTER_SIDE_MOST = 500000, /* 5 m */
    PRINTER_DPI_LEAST = 50,
    PRINTER_DPI_MOST = 4800
};

enum printer_state { PRINTER_STATE_UNKNOWN, PRINTER_STATE_IDLE, PRINTER_STATE_PROCESSING, PRINTER_STATE_STOPPED };

struct printer_media {
    char name[PRINTER_TEXT_SIZE]; /* PWG 5101.1: "oe_shelf-label_50x25mm"; "" when the printer does not say */
    int x, y;                     /* 1/100 mm; x across the print head. 0: not known */
};

struct printer_facts {
    char model[PRINTER_TEXT_SIZE];
    char message[PRINTER_TEXT_SIZE]; /* its own sentence on its state, in its own language */
    enum printer_state state;
    struct printer_reasons reasons;
    bool accepts_jobs;
    bool accepts_raster;                           /* image/pwg-raster */
    bool accepts_bilevel;                          /* raster type black_1, or it does not list its types */
    int resolutions_dpi[PRINTER_RESOLUTIONS_MOST]; /* for raster; only those equal both ways; the first is its choice */
    size_t resolution_count;                       /* 0: it does not say */
    struct printer_media media_default;
    struct printer_media media_ready[PRINTER_MEDIA_MOST]; /* what lies in it now */
    size_t media_ready_count;
};

enum printer_job_state {
    PRINTER_JOB_PENDING,
    PRINTER_JOB_PROCESSING, /* also while it waits for labels: the reasons say so */
    PRINTER_JOB_COMPLETED,  /* what the printer claims; proved only by a scan of the label */
    PRINTER_JOB_CANCELED,
    PRINTER_JOB_ABORTED,
    PRINTER_JOB_GONE /* the printer does not know it (any more): it may have come out or not */
};

/* Reads one IPP message. NULL: not one, or cut short; `fault` is filled. The caller ends it with ippDelete. */
ipp_t *printer_answer_read(const uint8_t *bytes, size_t length, struct fault *fault);

/* The facts in an answer to Get-Printer-Attributes. False when it holds no printer-state: `facts` untouched. */
bool printer_answer_facts(ipp_t *answer, struct printer_facts *facts, struct fault *fault);

/* State and reasons in an answer to Get-Job-Attributes or Print-Job. False: no job-state in it, both untouched. */
bool printer_answer_job(ipp_t *answer, enum printer_job_state *state, struct printer_reasons *reasons,
                        struct fault *fault);

/* job-id in an answer to Print-Job; 0 when there is none that counts. */
int printer_answer_job_id(ipp_t *answer);

/* Copies hostile text: bytes that are not UTF-8, control characters and marks that turn the writing direction become
 * '?'; cut at a character's end. NULL gives "". `size` 1 or more. */
void printer_answer_text(const char *text, char *buffer, size_t size);

#endif
