#ifndef KIOSK_RULES_LOG_RANK_H
#define KIOSK_RULES_LOG_RANK_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/arena.h"

/* Do groups of units last alike? At each time of events those of a group are compared with its share of those at risk;
 * the sums of the differences over their covariance (hypergeometric, as if the events had been dealt out to all at
 * risk) are about chi-square distributed with groups - 1 degrees of freedom. Peto, Peto, JRSS A 135, 1972, 185-207,
 * from memory. Unweighted. */

struct log_rank_unit {
    double hours;
    bool event; /* else censored */
    size_t group;
};

/* `units` ascending by hours, all at risk from 0. `*chi2` is NAN when there is nothing to compare: never were two
 * groups at risk when one of several units had its event. False: the arena is full. */
bool log_rank(const struct log_rank_unit *units, size_t count, size_t groups, struct arena *arena, double *chi2);

#endif
