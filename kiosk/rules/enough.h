#ifndef KIOSK_RULES_ENOUGH_H
#define KIOSK_RULES_ENOUGH_H

#include "kiosk/rules/rule.h"

/* Is there enough for the job, when neither the volume nor the need is known exactly? The chance that what can be drawn
 * covers the need, both taken as normal: a decision with a guard band, JCGM 106:2012, 8. */

struct enough_case {
    double volume_ml, u_ml;  /* u: standard uncertainty, >= 0 */
    double need_ml, heel_ml; /* >= 0; heel: what cannot be drawn */
    double need_u_ml;        /* of the need, >= 0; RULE_NULL: the share counts */
    double need_share;       /* >= 0: uncertainty of the need as a share of it */
    double level, no_level;  /* 0.5 <= level < 1, 0 <= no_level <= level */
};

enum enough_verdict { ENOUGH_NO, ENOUGH_NOT_SURE, ENOUGH_YES };

struct enough_answer {
    struct rule_said said;
    double margin_ml, u_margin_ml, p_enough;
    enum enough_verdict verdict;
    double largest_need_ml; /* that would be enough; not below 0 */
};

bool enough(const struct enough_case *asked, struct arena *arena, struct enough_answer *answer,
            struct rule_fault *fault);

#endif
