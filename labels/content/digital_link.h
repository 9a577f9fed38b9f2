#ifndef LABELS_CONTENT_DIGITAL_LINK_H
#define LABELS_CONTENT_DIGITAL_LINK_H

#include <stdbool.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/element_string.h"

/* GS1 elements as a web address: "https://id.gs1.org/01/09506000134352/10/LOT2407/21/V000123?17=270200". The path holds
 * a key and its qualifiers in their order (the column `link` of the table: for a GTIN 22, 10, 21, or 235 alone), the
 * query any other identifier. Nothing is fetched: who runs the host, what stands in the path before the key, names in
 * the query that are no identifier, and a fragment say nothing about the thing. A symbol holds it as plain text (]d1,
 * ]Q1), not as GS1 data. Alphabetic names of identifiers ("/gtin/"), which the standard has dropped, and its compressed
 * form are not read. Source: GS1 Digital Link Standard: URI Syntax (ISO/IEC 18975); RFC 3986 for the bytes of an
 * address. Pure: no allocation. */

enum { DIGITAL_LINK_SIZE = 2048 }; /* bytes, with a NUL; of a buffer for the values, and so of the longest address */

/* Does `text` begin with http:// or https:// and hold, somewhere in its path, a key with a value that begins with four
 * digits, as all GS1 keys do? Any other address is just text. */
bool digital_link_starts(struct span text);

/* Reads it; values are checked as in a scanned code, and a GTIN has 14 digits. The spans of `*out` are borrowed from
 * `buffer`, which gets the values without percent encoding. `today` decides centuries.
 * False: FAULT_INPUT, `*out` untouched, `buffer` undefined. */
bool digital_link_read(struct span text, struct day today, char buffer[DIGITAL_LINK_SIZE], struct element_string *out,
                       struct fault *fault);

#endif
