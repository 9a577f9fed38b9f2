#ifndef LABELS_CONTENT_STICKER_TEACH_H
#define LABELS_CONTENT_STICKER_TEACH_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/sticker_pattern.h"

/* A pattern from one example: a person points at the parts; everything else is fixed text.
 *
 * Of a part the example gives the kinds of characters (digits, capitals, small letters: all of a kind when one is
 * there; signs and blanks: those that are there). Its length is open, from 1 to what the part can hold, unless the
 * person says that it is the same on every sticker. A date gives its layout: how many digits, which signs; the order of
 * day, month and year is stated by the person and never guessed from the digits. A day or month of one digit in the
 * example may have two on another sticker. */

enum sticker_order { STICKER_ORDER_UNSAID, STICKER_YMD, STICKER_DMY, STICKER_MDY };

struct sticker_mark {
    enum sticker_part part;   /* any but STICKER_TEXT */
    size_t start, length;     /* bytes of the example */
    enum sticker_order order; /* of dates, must be said; of others, not looked at */
    bool same_length;         /* of parts that are no date */
};

/* Marks come in any order and do not overlap. False: FAULT_INPUT and why this example cannot teach (a part outside of
 * it, a date that does not exist in the order stated, two readings, …), `*out` untouched. True: the example matches the
 * pattern in exactly one way, the one pointed at. `today` as in sticker_match. Pure. */
bool sticker_teach(struct span example, const struct sticker_mark *marks, size_t count, struct day today,
                   struct sticker_pattern *out, struct fault *fault);

#endif
