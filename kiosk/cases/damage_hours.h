#ifndef KIOSK_CASES_DAMAGE_HOURS_H
#define KIOSK_CASES_DAMAGE_HOURS_H

#include "kiosk/cases/case_in.h"
#include "kiosk/rules/damage_sum.h"

/* Reads a list of {"class", "hours"}, as the damage sum and the wear map have them. NULL after a fault. */
const struct damage_hours *damage_hours_read(struct case_in *in, const char *key, struct case_range range,
                                             size_t *count);
/* The ratings: a list of them under "ratings", hours above 0, each class once. */
const struct damage_hours *damage_ratings_read(struct case_in *in, size_t *count);

#endif
