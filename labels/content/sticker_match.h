#ifndef LABELS_CONTENT_STICKER_MATCH_H
#define LABELS_CONTENT_STICKER_MATCH_H

#include <stdbool.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/scan.h"
#include "labels/content/sticker_pattern.h"

/* Reads a supplier's plain sticker by the supplier's pattern. It matches when its bytes can be divided among the pieces
 * in exactly one way; two ways are refused, never chosen from. `today` decides the century of two-digit years, as
 * gs1_date.h does.
 *
 * True: `*out` holds the item, lot, dates and count the pattern has parts for, nothing else; the item is the supplier's
 * own code. False: FAULT_INPUT says where the sticker stopped matching and what belongs there, or which date or
 * quantity cannot be; `*out` untouched. Pure; some 10 kB of stack. */
bool sticker_match(const struct sticker_pattern *pattern, struct span text, struct day today,
                   struct supplier_label *out, struct fault *fault);

#endif
