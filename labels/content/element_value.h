#ifndef LABELS_CONTENT_ELEMENT_VALUE_H
#define LABELS_CONTENT_ELEMENT_VALUE_H

#include <stdbool.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/application_identifier.h"

/* Is `value` a legal value of the application identifier `ai` (its digits; for the sentence) of kind `kind`? Length,
 * characters, check digits, dates and times, part by part.
 * False: FAULT_INPUT, one sentence that begins with the identifier and its title. Pure.
 * Source: GS1 General Specifications section 3; GS1 Barcode Syntax Dictionary. */
bool element_value_check(const struct application_identifier *kind, const char *ai, struct span value, struct day today,
                         struct fault *fault);

#endif
