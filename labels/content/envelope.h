#ifndef LABELS_CONTENT_ENVELOPE_H
#define LABELS_CONTENT_ENVELOPE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* The message envelope of ISO/IEC 15434: "[)>" RS, one or more formats, EOT. A format is two digits (05 GS1
 * identifiers, 06 data identifiers of ANSI MH10.8.2, 12 and others), GS, its data, RS.
 *   [)> RS 06 GS SV0001236 GS 14D20260814 RS EOT
 * Read tolerantly: a missing trailer is noted, empty fields and a GS before the RS are ignored. A scanner of the
 * keyboard kind often drops or replaces RS, GS and EOT; then fields cannot be told apart, and the code is refused with
 * the sentence that says how to set the scanner up.
 * Pure; spans are borrowed from the text that was read. */

enum {
    ENVELOPE_FORMATS = 4, /* most in one message */
    ENVELOPE_FIELDS = 40  /* most in one format */
};

struct envelope_format {
    int number;                          /* 5, 6, 12, … */
    struct span data;                    /* between the GS after the number and the closing RS */
    size_t field_count;                  /* of formats 5, 6 and 12; 0 for others, whose data stay whole */
    struct span fields[ENVELOPE_FIELDS]; /* never empty ones */
};

struct envelope {
    size_t count;
    struct envelope_format formats[ENVELOPE_FORMATS];
    bool trailer_missing; /* no EOT, or no RS before it: the end may be cut */
};

/* Does `text` begin with "[)>"? */
bool envelope_starts(struct span text);

/* False: FAULT_INPUT (separators lost, two scans run together, too many formats or fields), `*out` untouched. */
bool envelope_read(struct span text, struct envelope *out, struct fault *fault);

#endif
