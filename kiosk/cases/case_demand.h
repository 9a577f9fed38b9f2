#ifndef KIOSK_CASES_CASE_DEMAND_H
#define KIOSK_CASES_CASE_DEMAND_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/cases/case_in.h"
#include "kiosk/rules/demand_model.h"

/* Demand, as several rules take it. */

/* Numbers of 0 or more that sum to 1 within 1e-9, one at least. */
struct pmf case_pmf(struct case_in *in, const char *key);
/* A demand series: the entries that are not null, oldest first. `periods`: NULL, or gets how many there were. */
double *case_demand(struct case_in *in, const char *key, bool required, size_t *count, size_t *periods);
/* The demand model under a key; DEMAND_NONE when it is absent. */
struct demand_model case_model_or(struct case_in *in, const char *key, bool normal_too);

#endif
