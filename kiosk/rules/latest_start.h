#ifndef KIOSK_RULES_LATEST_START_H
#define KIOSK_RULES_LATEST_START_H

#include "kiosk/rules/fefo.h"
#include "kiosk/rules/pmf.h"

/* On which day must a lot be started, so that it is used up by the last working day before it expires? And will it be?
 * Demand runs on every calendar day; starting takes a working day. Counting back from the last day: plain algebra;
 * last working day instead of the expiry, first expired first out: common practice, no source. */

struct latest_start_case {
    struct day today;
    const struct fefo_lot *lots; /* quantity > 0 in ml; expires: number of its last usable day (struct day) */
    size_t lot_count;
    double rate_ml_per_day; /* >= 0; RULE_NULL: not known, or `pmf` says it */
    struct pmf pmf;         /* demand of a day in cells of `grid_ml`; p NULL: not known, or the rate says it */
    double grid_ml;         /* > 0 */
    double risk;            /* 0 to 1, without the ends: chance that a lot started on the latest day is not used up */
    bool closed_weekday[8]; /* [1] Monday to [7] Sunday; not all of them */
    const struct day *closed_dates;
    size_t closed_date_count;
};

struct latest_start_lot {
    const char *id;
    int64_t days_needed; /* RULE_NO_COUNT: not known, as the next three then */
    struct day last_working_day;
    struct day latest_start;
    struct day expected_start; /* RULE_NO_DAY also when it will not be started at all, or with a pmf */
    enum rule_truth late;
};

struct latest_start_answer {
    struct rule_said said;
    const struct latest_start_lot *lots; /* in FEFO order */
    size_t lot_count;
};

/* RULE_RANGE also for a day before the calendar begins. */
bool latest_start(const struct latest_start_case *asked, struct arena *arena, struct latest_start_answer *answer,
                  struct rule_fault *fault);

#endif
