#ifndef TESTS_RULES_FEFO_BY_DAY_H
#define TESTS_RULES_FEFO_BY_DAY_H

#include <stddef.h>

#include "kiosk/rules/fefo.h"

/* FEFO as a person would play it with counters on a table, day after day, to compare the closed forms with. Shares
 * nothing with the rules but the struct. Everything by the place of a lot in `lots`. */
struct fefo_by_day {
    double left[64];   /* at the end: wasted, for the lots are all past */
    int first_day[64]; /* on which something is taken; 0: never */
    double unmet;      /* demand of all days that found nothing */
};

/* Plays days 1 to `days`; demand[0] is that of day 1. */
void fefo_by_day(const struct fefo_lot *lots, size_t count, const double *demand, int days, struct fefo_by_day *end);

#endif
