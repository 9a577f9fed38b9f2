#ifndef KIOSK_RULES_DEMAND_BOOTSTRAP_H
#define KIOSK_RULES_DEMAND_BOOTSTRAP_H

#include "kiosk/rules/demand_history.h"
#include "kiosk/rules/pmf.h"

/* Demand of several periods as a shop's own history would throw it again: whether a period has demand follows a chain
 * of two states, and the sizes are drawn from those that were. Willemain, Smart and Schwarz, International Journal of
 * Forecasting 20, 2004, 375-387, simulate it; here the distribution is exact, by convolution over (state, sum). */

struct demand_chain {
    double after_none, after_some; /* chance of demand in a period, after one without and after one with */
    bool some_now;                 /* the last period had demand */
};

/* All sizes are whole numbers: both bootstraps count pieces. */
bool demand_is_whole(const struct demand_series *series);

/* Each period as if drawn by itself from the whole history, of one period at least. */
struct demand_chain demand_chain_iid(const struct demand_series *series);
/* From the changes in the history: changes to "some" over all changes from a state; with `half` a half is added above
 * and one below, so that what was never seen is not impossible. False: a state was never left, and not `half`. */
bool demand_chain_markov(const struct demand_series *series, bool half, struct demand_chain *chain);

/* Sizes above 0, each as likely as it was; at least one of them is there. With `jitter` a size X becomes 1 + X + Z
 * sqrt(X), the fraction cut off towards 0 after X + Z sqrt(X), Z standard normal, and X itself where that is not
 * positive: so sizes near those seen are possible too. It is biased upwards, by much for sizes below ten or so. */
bool demand_sizes(const struct demand_series *series, bool jitter, struct arena *arena, struct pmf *sizes);

/* Sum over `periods` periods. False, here and above: the arena is full, or it is more than a moment's work. */
bool demand_chain_sum(const struct demand_chain *chain, const struct pmf *sizes, double periods, struct arena *arena,
                      struct pmf *sum);

#endif
