#ifndef LABELS_CONTENT_ELEMENT_STRING_H
#define LABELS_CONTENT_ELEMENT_STRING_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/application_identifier.h"

/* GS1 element strings as a scanner sends them: identifier and value, one after the other. A value of no predefined
 * length ends at a GS (ASCII 29) or at the end; one GS after any other value is taken too. The same elements may come
 * in brackets (bracketed_string.h) or as a web address (digital_link.h). Source: GS1 General Specifications,
 * "concatenation". Pure; the spans of the result are borrowed from the text that was read. */

enum { ELEMENT_STRING_ELEMENTS = 40 /* most in one code */ };

struct element {
    char ai[AI_SIZE];
    const struct application_identifier *kind; /* never NULL */
    struct span value;
};

struct element_string {
    size_t count;
    struct element elements[ELEMENT_STRING_ELEMENTS];
};

/* As scanned, without a symbology identifier; one leading GS (a first FNC1 that was sent on) is skipped. Every value is
 * checked by the table; an identifier that comes twice must have the same value. `today` decides centuries.
 * False: FAULT_INPUT, `*out` untouched. */
bool element_string_read(struct span text, struct day today, struct element_string *out, struct fault *fault);

/* Adds an element to `out`, whatever it was read from: `ai` are the digits of the identifier, `kind` its row; the value
 * is checked by the table and must be that of an equal identifier before it. False: FAULT_INPUT, `*out` untouched. */
bool element_string_add(struct element_string *out, const struct application_identifier *kind, struct span ai,
                        struct span value, struct day today, struct fault *fault);

/* Do the identifiers go together? MISSING: an attribute without its key, such as a lot without a GTIN, which another
 * code on the same thing may carry. INVALID: two that contradict each other. `why` (may be NULL) gets the sentence. */
enum element_pairs { ELEMENT_PAIRS_FINE, ELEMENT_PAIRS_MISSING, ELEMENT_PAIRS_INVALID };
enum element_pairs element_string_pairs(const struct element_string *elements, struct fault *why);

/* The value of identifier `ai`, or of the first that fits a pattern such as "315n"; NULL when there is none. */
const struct element *element_string_find(const struct element_string *elements, const char *pattern);

#endif
