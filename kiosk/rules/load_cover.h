#ifndef KIOSK_RULES_LOAD_COVER_H
#define KIOSK_RULES_LOAD_COVER_H

#include "kiosk/rules/load_choice.h"

/* Covers of several containers, inside of load_choose.
 *
 * A cover is minimal when its slack is less than each of its containers. So for the slacks between two neighbouring
 * amounts all containers of the larger amount and above may be used, and any set of them whose sum is in the range is
 * a minimal cover: within such a level the order of the containers is free, and they stand by expiry. What is wanted is
 * then found one aim after the other: first which slacks there are at all for each number of containers (a pass in the
 * order of amounts), then the best numbers of each expiry, then the best slack with these, then the ids. */

struct load_bounds {
    int32_t size;   /* containers, at most */
    int32_t sealed; /* sealed ones among them: this many, fewer are not possible */
};

/* `choice` is filled; its size stays 0 when no several containers are a minimal cover within the bounds. Takes from the
 * arena what it needs in between; the caller takes that back. False: the arena is full. */
bool load_cover(const struct load_want *want, const struct load_bounds *bounds, struct arena *arena,
                struct load_choice *choice);

/* Negative: `a` is better. By slack: what is left in the last container, if it is too little to be of use, then all. */
int load_compare_slack(const struct load_want *want, int64_t a, int64_t b);
/* More of the first expiry, then of the second, … is better. */
int load_compare_expiries(const struct load_want *want, const int32_t *a, const int32_t *b);
/* Room for a choice of nothing. */
bool load_choice_init(const struct load_want *want, struct arena *arena, struct load_choice *choice);

#endif
