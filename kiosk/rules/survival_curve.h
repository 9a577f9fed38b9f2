#ifndef KIOSK_RULES_SURVIVAL_CURVE_H
#define KIOSK_RULES_SURVIVAL_CURVE_H

#include "kiosk/rules/survival.h"

/* The curve of Kaplan and Meier with Greenwood's limits: what survival.h reads its answers off. */

struct survival_unit {
    double hours;
    size_t index; /* in the case */
};

struct survival_curve {
    const struct survival_case *asked; /* borrowed */
    struct survival_unit *units;       /* ascending by hours */
    double *entries;                   /* ascending; NULL: all from 0 */
    struct survival_step *steps;
    size_t step_count, event_count;
    double last; /* largest hours */
};

/* False: the arena is full. One unit at least. */
bool survival_curve_draw(const struct survival_case *asked, struct arena *arena, struct survival_curve *curve);

/* How many steps are at or before `hours`. */
size_t survival_curve_steps(const struct survival_curve *curve, double hours);
/* Survival after the first `steps` steps: 1 after none. */
double survival_curve_after(const struct survival_curve *curve, size_t steps);
/* The first step that leaves `share` or less (within the slack of probabilities); `step_count`: none does. */
size_t survival_curve_falls_to(const struct survival_curve *curve, double share);
/* Beyond the largest hours it is known only where nothing is left. */
bool survival_curve_is_known(const struct survival_curve *curve, double hours);

#endif
