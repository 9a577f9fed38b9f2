#ifndef KIOSK_CASES_LIVES_H
#define KIOSK_CASES_LIVES_H

#include "kiosk/cases/case_in.h"
#include "kiosk/rules/weibull.h"

/* Reads what the fits of lives share. Lists are empty after a fault. */

/* "hours" (> 0) and, as many, "events" (0 or 1; else RULE_CONFLICT). */
void lives_read(struct case_in *in, const double **hours, const bool **events, size_t *count);
/* RULE_CONFLICT when the list of a key that is there has not one entry a unit. */
void lives_check_length(struct case_in *in, const char *key, size_t count, size_t units);
/* A list of {"from_hours", "more_hours"}, which may be absent. */
const struct weibull_span *lives_read_spans(struct case_in *in, const char *key, size_t *count);

#endif
