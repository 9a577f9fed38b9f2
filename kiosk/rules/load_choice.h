#ifndef KIOSK_RULES_LOAD_CHOICE_H
#define KIOSK_RULES_LOAD_CHOICE_H

#include "kiosk/rules/load_sums.h"

/* The best minimal cover: of all sets of containers that hold the need, and of which none could be left out, the one
 * that is first by the objective. Exact. */

enum load_objective { LOAD_PARTIALS, LOAD_FEFO, LOAD_BEST_FIT };

struct load_want {
    const struct load_item *items; /* together they hold the need; sorted by expiry, then id */
    int32_t count, expiries;       /* expiries: how many different ones */
    int64_t need, slots, dreg;     /* ml > 0, containers >= 1, ml >= 0 */
    enum load_objective objective;
};

struct load_choice {
    bool *taken; /* of each item */
    int32_t size, sealed;
    int64_t slack;
    int32_t *of_expiry; /* how many of each */
};

/* False: the arena is full. */
bool load_choose(const struct load_want *want, struct arena *arena, struct load_choice *choice);

#endif
