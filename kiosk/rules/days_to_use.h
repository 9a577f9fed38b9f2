#ifndef KIOSK_RULES_DAYS_TO_USE_H
#define KIOSK_RULES_DAYS_TO_USE_H

#include <stdint.h>

#include "kiosk/rules/fefo.h"
#include "kiosk/rules/pmf.h"

/* How many days a quantity lasts, for each of `lots` (quantity > 0): days[i] belongs to lots[i]. */

/* Smallest n with n * rate >= quantity; rate > 0. Beyond what an int64_t holds it is INT64_MAX. */
void days_at_rate(const struct fefo_lot *lots, size_t count, double rate, int64_t *days);

/* Smallest n with P(demand of n days >= quantity) >= 1 - risk; `pmf` is the demand of a day in cells of `grid`, and is
 * not 0 for certain. Not within `most` days: `most` + 1. False: no room or too much to compute. */
bool days_at_risk(const struct fefo_lot *lots, size_t count, const struct pmf *pmf, double grid, double risk,
                  int64_t most, struct arena *arena, int64_t *days);

#endif
