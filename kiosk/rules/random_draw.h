#ifndef KIOSK_RULES_RANDOM_DRAW_H
#define KIOSK_RULES_RANDOM_DRAW_H

#include <stdint.h>

#include "kiosk/rules/pmf.h"

/* Random numbers for simulations, the same on every machine from the same seed: SplitMix64, whole-number arithmetic
 * only, any seed is good. Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014. */

struct random_draw {
    uint64_t state; /* starts as the seed */
};

uint64_t random_draw_next(struct random_draw *random);

/* A distribution ready to be drawn from: cell k when a draw of 53 bits is below bound[k] and not below the one before.
 * A draw can depend on the machine only where the last bit of a probability does. */
struct random_table {
    uint64_t *bound;
    size_t count;
};

/* False: no room. */
bool random_table_fill(const struct pmf *pmf, struct arena *arena, struct random_table *table);
/* Of a table of one cell nothing is drawn. */
size_t random_table_draw(const struct random_table *table, struct random_draw *random);

#endif
