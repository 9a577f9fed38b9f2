#ifndef LABELS_CONTENT_ENVELOPE_H
#define LABELS_CONTENT_ENVELOPE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* The message envelope of ISO/IEC 15434: "[)>" RS, one or more formats, EOT. A format is two digits (05 GS1
 * identifiers, 06 data identifiers of ANSI MH10.8.2, 12 text elements, others), GS, its data, RS.
 *   [)> RS 06 GS SV0001236 GS 14D20260814 RS EOT
 * Fields keep their order, repeated ones too; empty ones and a GS before the RS are passed over.
 *
 * Scanners of the keyboard kind drop or replace what no key types. What may be taken all the same is taken with a note
 * that says what was missing and what was assumed: a beginning without "[)>" when RS or the format and GS still stand
 * there, or an end without RS, EOT or both. The rest is refused with what stands where: without its own separators
 * fields cannot be told apart, and a scanner that types "[)>" as other letters may have changed the data as well.
 * Pure; spans are borrowed from the text that was read. */

enum {
    ENVELOPE_FORMATS = 4, /* most in one message */
    ENVELOPE_FIELDS = 40, /* most in one format */
    ENVELOPE_NOTE_SIZE = 160
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
    bool trailer_missing;          /* no EOT, or no RS before it: the end may be cut */
    char note[ENVELOPE_NOTE_SIZE]; /* "" or one sentence: what was missing, what was assumed */
};

/* Does `text` begin with "[)>"? */
bool envelope_starts(struct span text);

/* Is `text` a message, whole or with a beginning that was lost or changed? Then envelope_read says what became of it.
 */
bool envelope_is(struct span text);

/* False: FAULT_INPUT (header or separators lost or changed, two scans run together, too many formats or fields), `*out`
 * untouched. */
bool envelope_read(struct span text, struct envelope *out, struct fault *fault);

#endif
