#ifndef LABELS_CONTENT_UNIT_LABEL_FIELDS_H
#define LABELS_CONTENT_UNIT_LABEL_FIELDS_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/data_identifier.h"
#include "labels/content/unit_label.h"

/* The side of unit_label that only this room needs: from fields already split to a label, and the shapes by which our
 * own codes are told from a maker's. Pure. */

/* ISO/IEC 15434, format 06, one format alone. */
#define LABEL_HEADER                                                                                                   \
    "[)>\x1e"                                                                                                          \
    "06\x1d"
#define LABEL_TRAILER "\x1e\x04"

/* A letter of ours, 6 to 9 digits, a digit or capital letter; the check character may be wrong. */
bool serial_has_shape(struct span text);

/* 1 to `longest` of [0-9A-Z-]: item codes, places, cards. */
bool label_code_fits(struct span text, size_t longest);

/* Our own label from the fields of its envelope, in any order; fields it does not know are passed over. FAULT_INPUT:
 * no serial, a serial that is not ours, a field that no label of ours has. */
bool unit_label_from_fields(const struct data_field *fields, size_t count, struct unit_label *label,
                            struct fault *fault);

#endif
