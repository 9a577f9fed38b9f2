#ifndef KIOSK_RULES_RECEIPT_H
#define KIOSK_RULES_RECEIPT_H

#include <stdint.h>

#include "kiosk/rules/verdict.h"
#include "labels/basics/calendar.h"

/* Does what arrives go on hold? Expired or short-dated stock and items nobody has completed are received, for they
 * are here, and held. Common practice, no source. Pure. */

struct receipt_case {
    const char *name; /* of the item, for sentences */
    bool provisional; /* the item is known only from a scan */
    bool holds_resin;
    bool has_expires;
    struct day expires;   /* last usable day */
    int64_t minimum_days; /* fewer days left = short-dated; 0 = none asked */
    struct day today;
    bool clock_trusted;
};

/* Fills `list` (cleared first) with the reasons to look at it, and returns the hold reason its units get: "expired",
 * "short-dated", "provisional" (the first that applies; they are settled in this order) or "". */
const char *receipt_judge(const struct receipt_case *asked, struct verdict_list *list);

#endif
