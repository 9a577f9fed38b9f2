#ifndef LABELS_CONTENT_GS1_DATE_H
#define LABELS_CONTENT_GS1_DATE_H

#include <stdbool.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* Dates of six digits, YYMMDD, as GS1 application identifiers 11 to 17 and data identifier D carry them. Day 00 means
 * "no day given" and is read as the last day of that month. The two digits leave the century open: it is the one that
 * puts the year 49 years back to 50 years ahead of today's.
 * Source: GS1 General Specifications, "determination of century in dates" and the identifiers' own sections.
 * Pure: `today` comes from the caller. */

/* The full year of `two_digits` (0 to 99) as seen from `this_year`. */
int gs1_date_year(int two_digits, int this_year);

/* Reads exactly six digits. `day_00_allowed` says whether this identifier may leave the day out; `*day_was_00` (may be
 * NULL) says whether it did. False: FAULT_INPUT with the reason, results untouched. */
bool gs1_date_read(struct span text, struct day today, bool day_00_allowed, struct day *day, bool *day_was_00,
                   struct fault *fault);

#endif
