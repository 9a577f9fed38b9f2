#include "kiosk/rules/random_draw.h"

#define ALL (UINT64_C(1) << 53)

uint64_t random_draw_next(struct random_draw *random)
{
    uint64_t z = random->state += UINT64_C(0x9E3779B97F4A7C15); /* the golden ratio, as the source has it */
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

bool random_table_fill(const struct pmf *pmf, struct arena *arena, struct random_table *table)
{
    double sum = 0;
    table->bound = arena_take(arena, pmf->count, sizeof *table->bound);
    table->count = pmf->count;
    if (!table->bound)
        return false;
    for (size_t k = 0; k < pmf->count; k++) {
        sum += pmf->p[k];
        table->bound[k] = sum < 1 ? (uint64_t)(sum * (double)ALL) : ALL;
    }
    while (table->count > 1 && table->bound[table->count - 2] == table->bound[table->count - 1])
        table->count--;                   /* cells that cannot be drawn */
    table->bound[table->count - 1] = ALL; /* probabilities sum to 1 only but for rounding */
    return true;
}

size_t random_table_draw(const struct random_table *table, struct random_draw *random)
{
    if (table->count == 1)
        return 0;
    const uint64_t draw = random_draw_next(random) >> 11;
    size_t low = 0, high = table->count - 1;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (draw < table->bound[middle])
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}
