#ifndef KIOSK_LEDGER_MOVEMENT_FIELD_H
#define KIOSK_LEDGER_MOVEMENT_FIELD_H

#include <stddef.h>

#include "kiosk/ledger/movement.h"

/* A movement's fields as one table, in the order in which the hash takes them: what the hash, JSON and comparisons
 * walk, so that no field can be forgotten in one of them. The order and the tags are for ever: new fields go to the
 * end with a new tag under a new MOVEMENT_FORM. */

enum movement_field_type {
    MOVEMENT_FIELD_NUMBER,  /* int64_t, MOVEMENT_NULL = not said */
    MOVEMENT_FIELD_DAY,     /* int64_t, days since 1970-01-01, MOVEMENT_NULL = not said */
    MOVEMENT_FIELD_TEXT,    /* char[size], "" = not said */
    MOVEMENT_FIELD_DETAIL,  /* char[size], a canonical JSON object or "" */
    MOVEMENT_FIELD_KIND,    /* enum movement_kind, hashed as its word */
    MOVEMENT_FIELD_INSTANT, /* struct instant, always said */
    MOVEMENT_FIELD_TODAY,   /* struct day, always said */
    MOVEMENT_FIELD_FLAG     /* bool, hashed as 0 or 1 */
};

enum { MOVEMENT_FIELD_COUNT = 25 };

struct movement_field {
    const char *name; /* as in JSON and in faults */
    enum movement_field_type type;
    unsigned char tag; /* in the hash, 1 … */
    size_t offset, size;
};

extern const struct movement_field movement_fields[MOVEMENT_FIELD_COUNT];

/* The field's number; MOVEMENT_NULL when it is a number that was not said. Not for texts and kinds (assert). */
int64_t movement_field_number(const struct movement *movement, const struct movement_field *field);
/* The field's text, a kind as its word; "" when not said. Only for texts, details and kinds (assert). */
const char *movement_field_text(const struct movement *movement, const struct movement_field *field);

#endif
