#ifndef LABELS_CONTENT_APPLICATION_IDENTIFIER_H
#define LABELS_CONTENT_APPLICATION_IDENTIFIER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/text.h"

/* The table of GS1 application identifiers: what may follow each, and beside what it may stand. Its rows are typed in
 * application_identifiers.txt.
 * Source: GS1 General Specifications section 3; the figures are those of the GS1 Barcode Syntax Dictionary (2025).
 * Not checked, because no storeroom decides by it: country and currency lists, bank accounts, coordinates, percent
 * encoding of addresses, importer index, winding of rolls, the inside of coupons. Their lengths and characters are. */

enum { AI_SIZE = 5, AI_PARTS = 5 };

enum ai_check {
    AI_CHECK_NONE,
    AI_CHECK_MOD10,     /* the last digit is a check digit */
    AI_CHECK_KEY,       /* begins with a company's number: four digits at least */
    AI_CHECK_PAIR,      /* a key that ends in a pair of check characters */
    AI_CHECK_DATE,      /* YYMMDD, a real day */
    AI_CHECK_DATE_00,   /* YYMMDD, day 00 allowed */
    AI_CHECK_DATE_LONG, /* YYYYMMDD */
    AI_CHECK_HOUR,      /* HH */
    AI_CHECK_SIXTY,     /* MM or SS, 00 to 59 */
    AI_CHECK_TIME,      /* HHMM */
    AI_CHECK_TIME_ANY,  /* HHMM, or 9999: no time given */
    AI_CHECK_ZERO,      /* "0" */
    AI_CHECK_NOT_ZERO,  /* not all zeros */
    AI_CHECK_NO_ZERO_FIRST,
    AI_CHECK_MINUS,      /* "-" */
    AI_CHECK_YES_NO,     /* "0" or "1" */
    AI_CHECK_OF_TOTAL,   /* PPTT: piece PP of TT, neither 00 */
    AI_CHECK_OF_SEQUENCE /* "P/T": P of T, neither 0 */
};

struct ai_part {
    char set;         /* 'N' digits, 'X' 82 characters, 'Y' 39 characters, 'Z' base64url; NUL ends the parts */
    uint8_t min, max; /* bytes */
    enum ai_check check;
    bool optional; /* may be left out altogether */
};

struct application_identifier {
    char first[AI_SIZE], last[AI_SIZE]; /* a range of identifiers of one length; mostly the same twice */
    bool predefined;                    /* of predefined length: no separator follows */
    struct ai_part parts[AI_PARTS];
    const char *needs;    /* "01+21,8006": one of these groups must be there too; "" when it stands alone */
    const char *excludes; /* "02,310n": none of these may be there; n stands for any digit */
    const char *link;     /* "22,10,21|235": a key of a Digital Link and its qualifiers, in order; NULL: no key */
    const char *title;    /* GS1's data title */
};

/* The row of the identifier at the start of `text`, NULL when there is none; `*length` is the identifier's length. No
 * identifier is the beginning of another. */
const struct application_identifier *application_identifier_find(struct span text, size_t *length);

/* Does `ai` fit `pattern` (of `length` bytes), where n stands for any digit? */
bool application_identifier_fits(const char *ai, const char *pattern, size_t length);

/* For tests that walk the table: row `index`, NULL after the last. */
const struct application_identifier *application_identifier_row(size_t index);

/* Most bytes of a value of this kind. */
size_t application_identifier_longest(const struct application_identifier *kind);

#endif
