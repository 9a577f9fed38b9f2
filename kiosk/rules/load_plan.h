#ifndef KIOSK_RULES_LOAD_PLAN_H
#define KIOSK_RULES_LOAD_PLAN_H

#include <stddef.h>

#include "kiosk/rules/load_choice.h"
#include "kiosk/rules/rule.h"

/* Which containers to load for a job, so that it is not stopped for a change if that can be avoided, no sealed one is
 * opened without need, few partials are left, and the oldest go first. Exact: no other set is better by the objective.
 * The wording of the objectives is ours; the problem is a subset sum, solved by the reachable sums (Bellman 1957). */

struct load_cartridge {
    const char *id;
    int64_t usable_ml;              /* what can be drawn, after heel and guard */
    struct day expires, open_until; /* open_until: RULE_NO_DAY if it has none */
    bool opened, held, reserved;
    const char *resin, *revision; /* NULL: not stated */
};

struct load_plan_case {
    int64_t need_ml, slots; /* > 0 */
    struct day job_end;
    enum load_objective objective;
    int64_t dreg_ml;                         /* >= 0: less than this left over is of no use */
    const char *resin, *revision;            /* NULL: any */
    const struct load_cartridge *cartridges; /* each id once */
    size_t cartridge_count;
};

struct load_pick {
    const char *id;
    int64_t take_ml;
};

struct load_excluded {
    const char *id, *reason;
};

struct load_plan_answer {
    struct rule_said said;
    bool possible;
    const struct load_pick *picks; /* in the order to draw from them */
    size_t pick_count;
    /* RULE_NO_COUNT when not possible */
    int64_t total_ml, slack_ml, changes, sealed_opened, partials_after, dreg_left_ml;
    int64_t available_ml, shortage_ml;    /* shortage 0 when possible */
    const struct load_excluded *excluded; /* by id */
    size_t excluded_count;
};

bool load_plan(const struct load_plan_case *asked, struct arena *arena, struct load_plan_answer *answer,
               struct rule_fault *fault);

#endif
