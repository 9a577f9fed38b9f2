#ifndef LABELS_DRAWING_SYMBOL_CONTENT_H
#define LABELS_DRAWING_SYMBOL_CONTENT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/content/unit_label.h"
#include "labels/drawing/label_field.h"

/* The bytes that a label's symbol says, from the label's fields. The syntax itself is labels/content's. */

enum symbol_kind {
    SYMBOL_UNIT,     /* serial; and when given item, lot or batch, filled, expires, content */
    SYMBOL_SERIAL,   /* the unit's serial alone: for labels too small for the rest, which the ledger knows */
    SYMBOL_PLACE,    /* place */
    SYMBOL_PERSON,   /* serial with the letter H */
    SYMBOL_CARD,     /* a word, from the template or from the field card */
    SYMBOL_ITEM,     /* item: a card that stands for it */
    SYMBOL_JOB,      /* job; and when given printer, resin, revision, content, ends */
    SYMBOL_JOB_CODE, /* the job's code alone: for labels too small for the rest, which the kiosk was told */
    SYMBOL_KINDS
};

/* "unit", "serial", "place", "person", "card", "item", "job", "job-code" */
const char *symbol_kind_word(enum symbol_kind kind);

/* `word` is the filled word of a SYMBOL_CARD, otherwise not looked at. FAULT_INPUT names the field that is missing or
 * wrong; results untouched then. */
bool symbol_content_write(enum symbol_kind kind, const char *word, const struct label_values *values,
                          char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault);

#endif
