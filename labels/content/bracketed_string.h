#ifndef LABELS_CONTENT_BRACKETED_STRING_H
#define LABELS_CONTENT_BRACKETED_STRING_H

#include <stdbool.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/element_string.h"

/* GS1 elements as a label shows them to people and as a person types them: "(01)09506000134352(10)LOT2407(17)270200".
 * The brackets are never encoded. A bracket is also a legal character of a lot, so the table of identifiers decides: a
 * value ends before an identifier of the table in brackets, or before any bracket when it cannot hold one;
 * "(10)LOT(A)(17)…" has the lot "LOT(A)". Who types a lot that holds "(17)" cannot be understood: the scanned code can.
 * Source: GS1 General Specifications, section 4.14 (human readable interpretation).
 * Pure; the spans of the result are borrowed from the text that was read. */

/* Does `text` begin like it: blanks, "(", two to four digits, ")"? */
bool bracketed_string_starts(struct span text);

/* Reads it; blanks beside a bracket are ignored, values are checked as in a scanned code. `today` decides centuries.
 * False: FAULT_INPUT, one sentence that names the place (1 is the first byte typed), `*out` untouched. */
bool bracketed_string_read(struct span text, struct day today, struct element_string *out, struct fault *fault);

#endif
