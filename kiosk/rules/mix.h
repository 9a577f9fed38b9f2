#ifndef KIOSK_RULES_MIX_H
#define KIOSK_RULES_MIX_H

#include <stddef.h>

#include "kiosk/rules/rule.h"

/* What is in each vat and bottle after pouring, and where each lot went. Mixing is taken to be perfect: what leaves a
 * container has the composition of what is in it. So amounts are estimates; which lots are present is not. */

#define MIX_EMPTY_ML 1e-6 /* less than this is nothing, and amounts are right within it */

struct mix_lot {
    const char *id;
    struct day expires;
    const char *resin; /* NULL: not stated; mixes with all */
};

struct mix_content {
    const char *lot;
    double ml; /* > 0 */
};

struct mix_container {
    const char *id;
    const struct mix_content *contents; /* before the first event */
    size_t content_count;
    struct day open_until; /* RULE_NO_DAY: none */
};

enum mix_act { MIX_POUR, MIX_USE, MIX_WASTE, MIX_CLEAN };

struct mix_event {
    enum mix_act act;
    const char *from, *to, *job; /* to: of a pour; job: of a use; else NULL */
    double ml;                   /* > 0, but for a cleaning */
};

struct mix_case {
    const struct mix_lot *lots; /* each id once */
    size_t lot_count;
    const struct mix_container *containers; /* each id once */
    size_t container_count;
    const struct mix_event *events; /* in the order of time */
    size_t event_count;
};

struct mix_share {
    const char *lot;
    double ml, fraction; /* fraction of the holder's total; 0 of an empty one */
};

struct mix_holder {
    const char *id;
    double total_ml;
    struct day expires; /* of a container: the earliest of all lots present; RULE_NO_DAY: none present, or a job */
    const struct mix_share *shares; /* of all lots present, by id, those of 0 ml too */
    size_t share_count;
};

struct mix_balance {
    const char *lot;
    double received_ml, held_ml, used_ml, wasted_ml;
};

struct mix_answer {
    struct rule_said said;
    const struct mix_holder *containers, *jobs; /* by id */
    size_t container_count, job_count;
    const struct mix_balance *balance; /* of all lots, by id */
    size_t balance_count;
};

bool mix(const struct mix_case *asked, struct arena *arena, struct mix_answer *answer, struct rule_fault *fault);

#endif
