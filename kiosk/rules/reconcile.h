#ifndef KIOSK_RULES_RECONCILE_H
#define KIOSK_RULES_RECONCILE_H

#include <stddef.h>

#include "kiosk/rules/rule.h"

/* The ledger says one amount, the scale another. Each job since the last weighing made the ledger less certain; when
 * both agree within their uncertainties they are fused by inverse variance, and the difference is a movement to book;
 * when they do not, a person decides. (Weighted mean: JCGM 100:2008; the alarm is common practice, no source.) */

struct reconcile_case {
    double ledger_ml, ledger_u_ml; /* u: at the last weighing, >= 0 */
    const double *jobs_ml;         /* taken off since, each >= 0; they are off the ledger already */
    size_t job_count;
    double job_share; /* standard uncertainty of a job, as a share of it, >= 0 */
    bool correlated;  /* all jobs are off in the same direction: the honest guess until it is known better */
    double weighed_ml, weighed_u_ml; /* u > 0 */
    double limit;                    /* > 0: of z */
};

struct reconcile_answer {
    struct rule_said said;
    double ledger_u_now_ml, difference_ml, z;
    bool alarm;
    double fused_ml, fused_u_ml;
    double movement_ml; /* RULE_NULL on alarm */
    double guard_ml;    /* to keep off what is planned with: one-sided 95 % */
};

bool reconcile(const struct reconcile_case *asked, struct arena *arena, struct reconcile_answer *answer,
               struct rule_fault *fault);

#endif
