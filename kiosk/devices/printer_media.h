#ifndef KIOSK_DEVICES_PRINTER_MEDIA_H
#define KIOSK_DEVICES_PRINTER_MEDIA_H

#include <stdbool.h>
#include <stddef.h>

#include <cups/cups.h>

#include "kiosk/devices/printer_answer.h"
#include "labels/basics/fault.h"

/* The labels in a printer, as its IPP collection "media-col" tells of them (PWG 5100.7; the name of a size by PWG
 * 5101.1) and as we ask for them. Lengths are 1/100 mm, as in IPP. What a printer says is a stranger's word: a size
 * that no label has is dropped, and a name that contradicts the numbers beside it is marked. */

enum {
    PRINTER_SIDE_LEAST = 100,   /* 1 mm */
    PRINTER_SIDE_MOST = 500000, /* 5 m */
    PRINTER_SIDE_NEAR = 25      /* sizes this close are one size: inch and millimetre names of a roll differ so much */
};

/* How a printer finds where a label begins: member "media-tracking", registered for label printers with the keywords
 * continuous, mark and web (PWG's IPP registrations, IPPLABEL of 2020-02-13). "gap" is not among them: it is understood
 * from a printer that says it, and asked of no other. What each word means is from memory: the registry does not say.
 */
enum printer_tracking {
    PRINTER_TRACKING_UNSAID,
    PRINTER_TRACKING_GAP,        /* sees the gap between two labels */
    PRINTER_TRACKING_MARK,       /* a black mark on the back */
    PRINTER_TRACKING_WEB,        /* the backing between labels, or a hole in it */
    PRINTER_TRACKING_CONTINUOUS, /* no labels: a strip without end */
    PRINTER_TRACKINGS            /* how many there are */
};

/* The keyword; "" for PRINTER_TRACKING_UNSAID. */
const char *printer_tracking_word(enum printer_tracking tracking);
/* PRINTER_TRACKING_UNSAID for a keyword that we do not know, and for NULL. */
enum printer_tracking printer_tracking_read(const char *keyword);

enum printer_media_doubt {
    PRINTER_MEDIA_CLEAR,
    PRINTER_MEDIA_UNSAID,      /* neither numbers nor a name with a size in it */
    PRINTER_MEDIA_NONSENSE,    /* numbers that no label has, and no name to take them from */
    PRINTER_MEDIA_CONTRADICTS, /* the name tells another size than the numbers; x and y are the numbers */
};

struct printer_media {
    char name[PRINTER_TEXT_SIZE]; /* "oe_shelf-label_50x25mm"; "" when the printer does not say */
    int x, y;                     /* x across the print head. 0: not known; y alone 0: a strip without end */
    enum printer_media_doubt doubt;
    enum printer_tracking tracking;
    char type[PRINTER_TEXT_SIZE]; /* "labels", "continuous", or a name of the printer's own; "" unsaid */
};

/* Reads one collection (NULL: none given) and the keyword of the list beside it (NULL: none). */
struct printer_media printer_media_read(ipp_t *collection, const char *keyword);

/* Whether the size can be trusted. False: `fault` says what the printer says and what to do. */
bool printer_media_check(const struct printer_media *media, struct fault *fault);

/* Whether a PWG 5101.1 name holds that size; false also when it holds none. */
bool printer_media_name_fits(const char *name, int x, int y);

#endif
