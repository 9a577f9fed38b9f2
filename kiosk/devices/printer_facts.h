#ifndef KIOSK_DEVICES_PRINTER_FACTS_H
#define KIOSK_DEVICES_PRINTER_FACTS_H

#include <stdbool.h>
#include <stddef.h>

#include <cups/cups.h>

#include "kiosk/devices/printer_media.h"
#include "kiosk/devices/printer_reason.h"
#include "labels/basics/fault.h"

/* What a printer or a queue is, holds and offers, out of its answer to Get-Printer-Attributes (RFC 8011 5.4; PWG
 * 5100.7 for media-col, 5100.13 for print-scaling, 5100.14 for image/pwg-raster). Darkness, speed and tracking are
 * registered for label printers (PWG's IPP registrations, IPPLABEL of 2020-02-13): names and types from there, so
 * print-darkness -100 to 100, print-darkness-supported one number from 1 to 100, printer-darkness-configured 0 to 100,
 * print-speed from 1 on, print-speed-supported numbers or ranges. What they mean is from memory: that -supported counts
 * steps, that print-darkness is added to what is configured, and that a speed is in 1/100 mm a second.
 *
 * What is not listed here as offered is not sent. Every list and text is bounded. */

enum {
    PRINTER_RESOLUTIONS_MOST = 8,
    PRINTER_MEDIA_MOST = 8,
    PRINTER_SIZES_MOST = 32,
    PRINTER_SPEEDS_MOST = 16,
    PRINTER_TYPES_MOST = 16,
    PRINTER_DPI_LEAST = 50,
    PRINTER_DPI_MOST = 4800,
    PRINTER_DARKNESS_LEAST = -100,
    PRINTER_DARKNESS_MOST = 100,
    PRINTER_SPEED_MOST = 1000000, /* 10 m a second */
    PRINTER_BEHIND_SIZE = 512
};

enum printer_state { PRINTER_STATE_UNKNOWN, PRINTER_STATE_IDLE, PRINTER_STATE_PROCESSING, PRINTER_STATE_STOPPED };

struct printer_range {
    int least, most; /* both included */
};

struct printer_size {
    struct printer_range x, y; /* 1/100 mm */
};

struct printer_facts {
    char model[PRINTER_TEXT_SIZE];
    char message[PRINTER_TEXT_SIZE]; /* its own sentence on its state, in its own language */
    enum printer_state state;
    struct printer_reasons reasons;
    bool accepts_jobs;
    bool is_queue;                    /* a CUPS queue: the printer stands behind it, and may have another mind */
    char behind[PRINTER_BEHIND_SIZE]; /* a queue's device-uri: where its printer is; "" when it does not say */
    int queued;                       /* jobs that wait or print, by its own count; -1: it does not say */
    int up_seconds; /* printer-up-time (RFC 8011 5.4.29; 0 is seen in its first second); -1: it does not say */

    bool accepts_raster;                           /* image/pwg-raster */
    bool accepts_bilevel;                          /* raster type black_1, or it does not list its types */
    int resolutions_dpi[PRINTER_RESOLUTIONS_MOST]; /* for raster; only those equal both ways; the first is its choice */
    size_t resolution_count;                       /* 0: it does not say */

    struct printer_media media_default;
    struct printer_media media_ready[PRINTER_MEDIA_MOST]; /* what lies in it now */
    size_t media_ready_count;                             /* 0: it does not say, as CUPS queues often */
    struct printer_size sizes[PRINTER_SIZES_MOST];        /* what it can take */
    size_t size_count;

    bool trackings[PRINTER_TRACKINGS]; /* offered */
    char types[PRINTER_TYPES_MOST][PRINTER_TEXT_SIZE];
    size_t type_count;
    bool unscaled;                                             /* print-scaling none can be asked for */
    bool resolution_asked;                                     /* printer-resolution can be asked for */
    bool margin_bottom, margin_left, margin_right, margin_top; /* a margin of 0 can be asked for */
    struct printer_range darkness; /* of print-darkness, on top of what is set at the printer; both 0: not offered */
    int darkness_steps;            /* how many it tells apart; 0: it does not say */
    int darkness_set;              /* percent, set at the printer; -1: it does not say */
    struct printer_range speeds[PRINTER_SPEEDS_MOST]; /* 1/100 mm a second */
    size_t speed_count;                               /* 0: not offered */
    int speed_usual;                                  /* its choice; 0: it does not say */

    bool can_cancel, can_list, can_go, can_accept, can_accept_cups; /* Cancel-Job, Get-Jobs, Resume-Printer,
                                                                     Enable-Printer, CUPS-Accept-Jobs */
};

/* False when the answer holds no printer-state: `facts` untouched. */
bool printer_facts_read(ipp_t *answer, struct printer_facts *facts, struct fault *fault);

/* The labels in the printer that have that size, to PRINTER_SIDE_NEAR; of a printer that does not say what lies in it,
 * a size that it can take, with that very size. False: `fault` says what it holds instead. */
bool printer_facts_media(const struct printer_facts *facts, int x, int y, struct printer_media *media,
                         struct fault *fault);

#endif
