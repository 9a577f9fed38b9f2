#ifndef KIOSK_RULES_SURVIVAL_H
#define KIOSK_RULES_SURVIVAL_H

#include <stddef.h>

#include "kiosk/rules/rule.h"

/* How long units (vats) last, from those that were retired and those that still serve, without assuming a form of the
 * curve. Kaplan, Meier, JASA 53, 1958, 457-481; standard error: Greenwood 1926; incidence of one cause among several:
 * Aalen, Johansen, Scandinavian Journal of Statistics 5, 1978, 141-150; log-rank test: Peto, Peto, JRSS A 135, 1972,
 * 185-207, with the hypergeometric variance. Sources from memory.
 *
 * A unit is at risk at t when entry < t <= hours: at one time events precede censorings, and a unit that was in use
 * already when records began counts from then on only. */

enum {
    SURVIVAL_GROUPS = 100,
    SURVIVAL_LEAST_EVENTS = 3 /* fewer say nothing of quantiles; common practice, no source */
};

enum survival_interval { SURVIVAL_LOG_LOG, SURVIVAL_LOG, SURVIVAL_PLAIN };

struct survival_case {
    size_t unit_count;
    const double *hours;       /* of each, > 0 */
    const bool *events;        /* true: retired then for wear; false: censored, it served at least so long */
    const char *const *causes; /* NULL, or of each event its cause; the others' are not looked at */
    const double *entry_hours; /* NULL: all from 0; else of each, 0 <= entry < hours */
    const char *const *groups; /* NULL, or of each; two kinds at least, and not with entry_hours */
    enum survival_interval interval;
    double confidence;       /* 0 < confidence < 1, two-sided */
    const double *quantiles; /* 0 < p < 1: when have p of the units gone? */
    size_t quantile_count;
    const double *at_hours; /* >= 0 */
    size_t at_count;
    double restrict_hours; /* > 0; RULE_NULL: the largest hours */
};

struct survival_step {
    double hours; /* of events; S is so from here to the next */
    size_t at_risk, events;
    double survival, se, lower, upper; /* the last three RULE_NULL where survival is 0 */
};

struct survival_incidence {
    const char *cause;
    const double *at; /* share gone for this cause by each of at_hours; RULE_NULL beyond the largest hours */
};

struct survival_answer {
    struct rule_said said;
    size_t event_count;
    const struct survival_step *steps;
    size_t step_count;
    const double *quantiles;                    /* hours of each; RULE_NULL: never reached, or too few events */
    double restricted_mean_hours;               /* area under the curve up to restrict_hours */
    const double *at;                           /* survival at each of at_hours; RULE_NULL beyond the largest hours */
    const struct survival_incidence *incidence; /* by cause, ascending; NULL: no causes given */
    size_t cause_count;
    double chi2, p;            /* log-rank; RULE_NULL: no groups, or nothing to compare */
    size_t degrees_of_freedom; /* groups - 1; 0: no groups */
};

/* RULE_RANGE: no units, an entry not before its hours, more than SURVIVAL_GROUPS groups; RULE_CONFLICT: groups with
 * entry_hours, or one group only. */
bool survival(const struct survival_case *asked, struct arena *arena, struct survival_answer *answer,
              struct rule_fault *fault);

#endif
