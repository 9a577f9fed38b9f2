#ifndef LABELS_DRAWING_LABEL_FIELD_H
#define LABELS_DRAWING_LABEL_FIELD_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* What the caller puts on a label: named values, all text. An empty value counts as not given.
 *
 *   serial     the unit's or the badge's serial           item       own item code
 *   item-name  the item in words                          lot        the maker's lot
 *   batch      our own decanted batch, instead of lot     filled     YYYY-MM-DD
 *   expires    YYYY-MM-DD, last usable day                content    whole millilitres, digits only
 *   resin      resin and revision in words                place      the place's code
 *   person     a name                                     card       the card's word
 *   note       free words                                 sample     "SAMPLE" or another mark: not a real label
 * of a job's ticket (job_label.h), where resin is its type alone, and content what the job needs:
 *   job        its code                                   printer    the printer's code
 *   revision   of the resin                               ends       as ticket_time.h reads it
 * of a hazard part, as the shop copied them from the SDS (hazard_parts.h); "none" where the SDS says none:
 *   product    product identifier                         signal-word
 *   pictograms "GHS02 GHS07"                              statements  "H315 words|H317 words"
 *   precautions likewise                                  sds         its date and where it is kept
 *   capacity   of the package, whole millilitres          quantity    nominal, with its unit: "1 l"
 *   supplier   its name                                   supplier-address, supplier-phone
 *   ufi        unique formula identifier (ufi.h)          language    of these words, ISO 639-1: "de" */

struct label_field {
    const char *name;
    const char *value;
};

enum label_field_id {
    LABEL_FIELD_SERIAL,
    LABEL_FIELD_ITEM,
    LABEL_FIELD_ITEM_NAME,
    LABEL_FIELD_LOT,
    LABEL_FIELD_BATCH,
    LABEL_FIELD_FILLED,
    LABEL_FIELD_EXPIRES,
    LABEL_FIELD_CONTENT,
    LABEL_FIELD_RESIN,
    LABEL_FIELD_PLACE,
    LABEL_FIELD_PERSON,
    LABEL_FIELD_CARD,
    LABEL_FIELD_NOTE,
    LABEL_FIELD_SAMPLE,
    LABEL_FIELD_PRODUCT,
    LABEL_FIELD_SIGNAL_WORD,
    LABEL_FIELD_PICTOGRAMS,
    LABEL_FIELD_STATEMENTS,
    LABEL_FIELD_PRECAUTIONS,
    LABEL_FIELD_SDS,
    LABEL_FIELD_CAPACITY,
    LABEL_FIELD_SUPPLIER,
    LABEL_FIELD_SUPPLIER_ADDRESS,
    LABEL_FIELD_SUPPLIER_PHONE,
    LABEL_FIELD_QUANTITY,
    LABEL_FIELD_UFI,
    LABEL_FIELD_LANGUAGE,
    LABEL_FIELD_JOB,
    LABEL_FIELD_PRINTER,
    LABEL_FIELD_REVISION,
    LABEL_FIELD_ENDS,
    LABEL_FIELD_IDS /* how many there are */
};

enum {
    LABEL_FIELD_VALUE_MAX = 120, /* bytes of one value */
    LABEL_FIELD_LIST_MAX = 1000, /* bytes of statements, of precautions */
    LABEL_FIELD_TEXT_SIZE = 401  /* a filled pattern and its NUL */
};

/* The caller's values in their places; NULL: not given. Borrowed from the caller's fields. */
struct label_values {
    const char *at[LABEL_FIELD_IDS];
};

const char *label_field_name(enum label_field_id id);
/* The id of a name, or -1. */
int label_field_find(struct span name);

/* Sorts `fields` into `*values`. FAULT_INPUT names the field: unknown, given twice, too long, not UTF-8, or with a
 * character that could make a label say something else than it shows (characters.h). */
bool label_field_read(const struct label_field *fields, size_t count, struct label_values *values, struct fault *fault);

/* A pattern is text with {name} for a value, {name month} for a date as "14 Feb 2026" (filled and expires only), and {{
 * for a brace. Checks its shape and its names; sets a bit for each field it uses (bit number = id) in `*uses` (may be
 * NULL). */
bool label_field_check_pattern(const char *pattern, unsigned *uses, struct fault *fault);

/* Puts values into a checked pattern. FAULT_INPUT names the field that is missing, or the date that is no ISO 8601
 * day: 03/04/2026 is two days, so no label shows it. */
bool label_field_fill(const char *pattern, const struct label_values *values, char text[LABEL_FIELD_TEXT_SIZE],
                      struct fault *fault);

/* The same for a line that is drawn. When letters from right to left are in it, every value is set apart from its
 * neighbours by isolates of the Unicode bidirectional algorithm (UAX #9): "lot {lot}, {note}" keeps its order whatever
 * the values are. The line itself runs as the first letter of the pattern's own words does. */
bool label_field_fill_line(const char *pattern, const struct label_values *values, char text[LABEL_FIELD_TEXT_SIZE],
                           struct fault *fault);

#endif
