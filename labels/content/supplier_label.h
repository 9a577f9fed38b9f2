#ifndef LABELS_CONTENT_SUPPLIER_LABEL_H
#define LABELS_CONTENT_SUPPLIER_LABEL_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/data_identifier.h"
#include "labels/content/element_string.h"
#include "labels/content/scan.h"

/* What a maker's code says, out of GS1 elements or MH10.8.2 data fields. Both may fill one label (a message with two
 * formats): what is there already must agree. `warning` (SCAN_WARNING_SIZE bytes) gathers all
 * warnings, one a line.
 * False: FAULT_INPUT; `*label` and `warning` may then hold part of the answer and are to be thrown away. Pure.
 *
 * Twins used: item 01 02 03 8006 8026 8P 1P 25P 9N; lot 10 1T 25T T; serial 21 8004 8003 00 S 25S 1S; expiry 17 7003
 * 14D 15D, and with a warning 15 (best before), 25D, D; made 11 8008 16D 17D; count 30 37 7Q..EA Q; content 315n 316n
 * 7Q..ML 7Q..LT. Source: GS1 General Specifications; ANSI MH10.8.2; the twins as in the German pharmacy coding rules
 * (securPharm). */

bool supplier_label_add_elements(const struct element_string *elements, struct day today, struct supplier_label *label,
                                 char *warning, struct fault *fault);
bool supplier_label_add_fields(const struct data_field *fields, size_t count, struct supplier_label *label,
                               char *warning, struct fault *fault);

/* A bare GTIN of 8, 12, 13 or 14 digits, kept as 14. False: FAULT_INPUT, wrong length, byte or check digit. */
bool supplier_label_add_gtin(struct span digits, struct supplier_label *label, struct fault *fault);

/* Adds `text` as a line, unless it stands there or no longer fits whole. */
void supplier_label_warn(char *warning, const char *text);

/* The last look, when everything has been added: lot without item, expiry before making. */
void supplier_label_finish(const struct supplier_label *label, char *warning);

#endif
