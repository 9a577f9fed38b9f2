#ifndef KIOSK_RULES_FEFO_H
#define KIOSK_RULES_FEFO_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/rule.h"

/* First expired, first out: in which order lots are used. Common practice, no source: by expiry; of one expiry the
 * opened one first, then the one received earlier, then the lower id, so that every machine has the same order. */

struct fefo_lot {
    const char *id;
    double quantity; /* >= 0 */
    double expires;  /* end of its last usable day or period, counted as the rule says */
    bool opened;
    struct day received; /* RULE_NO_DAY: not known, behind those that are */
    size_t place;        /* in the list it came in; fefo_sort sets it */
};

/* A copy in FEFO order, of the arena. NULL: no room. */
struct fefo_lot *fefo_sort(const struct fefo_lot *lots, size_t count, struct arena *arena);

double fefo_total(const struct fefo_lot *lots, size_t count); /* of their quantities */

/* Turns quantities into cells of `grid` (> 0). A lot that is no multiple of it, or more than 2^53 of them, is a
 * RULE_RANGE of LIST.PLACE.quantity. */
bool fefo_to_cells(struct fefo_lot *lots, size_t count, double grid, const char *list, struct arena *arena,
                   struct rule_fault *fault);

#endif
