#ifndef LABELS_CONTENT_SYMBOLOGY_H
#define LABELS_CONTENT_SYMBOLOGY_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/text.h"

/* Symbology identifiers of ISO/IEC 15424: "]", a letter for the symbology, a modifier. They say what the bytes are, so
 * that nothing has to be guessed: only some of them announce GS1 element strings. Pure. */

enum { SYMBOLOGY_BYTES = 3 };

enum symbology_kind {
    SYMBOLOGY_NONE,   /* the device does not say, or a person typed */
    SYMBOLOGY_GS1,    /* ]C1 ]d2 ]d5 ]Q3 ]Q4 ]e0 ]e1 ]e2 ]J1: element strings */
    SYMBOLOGY_EAN13,  /* ]E0: the 13 digits of an EAN-13, UPC-A or UPC-E, a GTIN and nothing else */
    SYMBOLOGY_EAN8,   /* ]E4: the 8 digits of an EAN-8, likewise */
    SYMBOLOGY_CARTON, /* ]I0 ]I1: interleaved 2 of 5, a GTIN when it has 14 digits */
    SYMBOLOGY_PLAIN   /* any other: an ISO/IEC 15434 message or text */
};

/* "" or NULL is SYMBOLOGY_NONE. */
enum symbology_kind symbology_kind(const char *identifier);

/* What a person may call it: "EAN/UPC code", "GS1 Data Matrix", "QR code", …; "code" for those not named here, "typed
 * text" for "" and NULL. */
const char *symbology_words(const char *identifier);

/* Does `text` begin with an identifier of a symbology that a label may have: ]d ]C ]Q ]E ]e ]I ]J ]L ]z ]A, a digit? */
bool symbology_starts(struct span text);

/* Takes the identifier that the device gave; when it gave none ("" or NULL), one at the start of `*text`. An identifier
 * at the start of `*text` that the device also gave is cut off. `identifier` becomes "" when there is none. */
void symbology_take(struct span *text, const char *given, char identifier[SYMBOLOGY_BYTES + 1]);

/* Does the identifier announce the ECI protocol (]d4 ]d5 ]d6 ]Q2 ]Q4 ]Q6)? */
bool symbology_has_eci(const char *identifier);
/* Cuts a leading "\nnnnnn" (ECI number of six digits) off. */
void symbology_strip_eci(struct span *text);

#endif
