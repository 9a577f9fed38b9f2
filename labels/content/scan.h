#ifndef LABELS_CONTENT_SCAN_H
#define LABELS_CONTENT_SCAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/job_label.h"
#include "labels/content/unit_label.h"

/* One scan -> what it is. The only door for scanned bytes: scanner, camera, picture and keyboard all come here. */

enum scan_kind {
    SCAN_UNIT,     /* one of our labelled units, S with letter V T C R P W */
    SCAN_PERSON,   /* a badge, S with letter H */
    SCAN_PLACE,    /* L + code */
    SCAN_CARD,     /* Z + a word of ours: YES, NO, UNDO, 250ML, … */
    SCAN_ITEM,     /* P + code alone: a card that stands for an item of the catalogue */
    SCAN_JOB,      /* a job's ticket: W + its code, and what else job_label.h has */
    SCAN_SUPPLIER, /* a maker's code: GS1 element strings or a Digital Link, bare GTIN, or format 05/06 of a maker */
    SCAN_OTHER,    /* readable text that is none of these, such as a maker's plain serial */
    SCAN_KINDS
};

enum {
    SCAN_BYTES = 4096, /* longest scan taken */
    PLACE_SIZE = 21,   /* [0-9A-Z-]{1,20} */
    CARD_SIZE = 21,    /* [0-9A-Z-]{1,20} */
    SUPPLIER_CODE_SIZE = 31,
    SUPPLIER_LOT_SIZE = 21,
    SCAN_SENTENCE_SIZE = 240,
    SCAN_WARNING_SIZE = 960
};

/* What a maker's code says, whatever syntax it came in. */
struct supplier_label {
    char item[SUPPLIER_CODE_SIZE]; /* GTIN-14, or the maker's item code (1P); "" when the code has none */
    bool item_is_gtin;
    char lot[SUPPLIER_LOT_SIZE];
    char serial[SUPPLIER_CODE_SIZE]; /* of one pack, or the number of a whole carton (SSCC) */
    bool has_expires, has_made;
    struct day expires, made;
    bool expires_day_was_00; /* the code said "month only": expires is that month's last day */
    int64_t count;           /* units said to be inside (30, 37, Q in EA); 0 when not said */
    int64_t content_ul;      /* volume of one unit in microlitres (315n, 7Q ML/LT); 0 when not said */
};

struct scan {
    enum scan_kind kind;
    struct unit_label unit;          /* SCAN_UNIT, SCAN_PERSON */
    char place[PLACE_SIZE];          /* SCAN_PLACE */
    char card[CARD_SIZE];            /* SCAN_CARD */
    char item[ITEM_CODE_SIZE];       /* SCAN_ITEM */
    struct job_label job;            /* SCAN_JOB */
    struct supplier_label supplier;  /* SCAN_SUPPLIER */
    char warning[SCAN_WARNING_SIZE]; /* "" or sentences, one a line: accepted, but look at this */
    char lacks[SCAN_SENTENCE_SIZE];  /* "" or a sentence: a lot or date without the item it belongs to. GS1 judges that
                                        over all codes on a thing, so another code of it may still settle this */
};

/* The scanned text itself, as scan_read sees it: without line end and symbology identifier, which goes to `identifier`
 * ("" when neither the device nor the bytes say). Borrows `bytes`. */
enum { SCAN_SYMBOLOGY_SIZE = 4 };
struct span scan_text(struct span bytes, const char *symbology, char identifier[SCAN_SYMBOLOGY_SIZE]);

/* Reads `bytes`. `symbology` is the ISO/IEC 15424 identifier, "" when the device does not say (then a leading
 * identifier in the bytes themselves, "]d2…", is taken). `today` decides the century of two-digit years.
 * Typed text may use brackets, "(01)0950…(17)…" (bracketed_string.h).
 * True: `*scan` is filled. False: FAULT_INPUT and one sentence: cut code, wrong check digit, illegal day, two scans run
 * together, separators lost by a keyboard-type scanner (says how to set the scanner up), … `*scan` untouched.
 * Pure: no clock, no allocation. */
bool scan_read(struct span bytes, const char *symbology, struct day today, struct scan *scan, struct fault *fault);

const char *
scan_kind_word(enum scan_kind kind); /* "unit", "person", "place", "card", "item", "job", "supplier", "other" */

/* The bytes of a place label, of a card and of an item's card, as unit_label_write does for a unit. */
bool place_label_write(const char *place, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault);
bool card_label_write(const char *card, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault);
bool item_label_write(const char *item, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault);

#endif
