#include "kiosk/rules/days_to_use.h"

#include <math.h>

#define MOST_STEPS 4294967296.0      /* multiplications of one case: some seconds */
static const double NOTHING = 1e-60; /* far below any risk that can be asked for, far above what slows a machine down */

/* Whole steps of `step` that reach `quantity`, 1 at least. */
static double steps_to(double quantity, double step)
{
    return fmax(1, ceil(quantity / step - RULE_SLACK));
}

void days_at_rate(const struct fefo_lot *lots, size_t count, double rate, int64_t *days)
{
    for (size_t i = 0; i < count; i++) {
        const double n = steps_to(lots[i].quantity, rate);
        days[i] = n < 9e18 ? (int64_t)n : INT64_MAX;
    }
}

/* The lots by their size: the smaller one is never used up later. */
struct target {
    double cells;
    size_t lot;
};

static int compare(const void *a, const void *b)
{
    const struct target *one = a, *two = b;
    return (one->cells > two->cells) - (one->cells < two->cells);
}

/* Demand so far as far as it is below the largest lot: below[k] is the probability of k cells. What is beyond is not
 * kept, for it used up all. */
struct walk {
    double *below;
    size_t room, count; /* cells from `count` on are 0 */
    const struct pmf *pmf;
    size_t *steps, step_count; /* the pmf's cells that are not 0, without cell 0 */
};

static bool start(const struct pmf *pmf, double most_cells, struct arena *arena, struct walk *walk)
{
    if (most_cells > PMF_CELLS)
        return false;
    *walk = (struct walk){.room = (size_t)most_cells, .count = 1, .pmf = pmf};
    walk->below = arena_take(arena, walk->room, sizeof *walk->below);
    walk->steps = arena_take(arena, pmf->count, sizeof *walk->steps);
    if (!walk->below || !walk->steps)
        return false;
    for (size_t k = 1; k < pmf->count; k++)
        if (pmf->p[k] > 0)
            walk->steps[walk->step_count++] = k;
    walk->below[0] = 1;
    return true;
}

/* In place, from the largest sum down: each only moves up. */
static void add_day(struct walk *walk)
{
    for (size_t i = walk->count; i-- > 0;) {
        const double p = walk->below[i];
        walk->below[i] = p < NOTHING ? 0 : p * walk->pmf->p[0];
        for (size_t s = 0; p >= NOTHING && s < walk->step_count && walk->steps[s] < walk->room - i; s++)
            walk->below[i + walk->steps[s]] += p * walk->pmf->p[walk->steps[s]];
    }
    const size_t farther = walk->count + walk->pmf->count - 1;
    walk->count = farther < walk->room ? farther : walk->room;
}

static double sum_below(const struct walk *walk, double cells)
{
    double sum = 0;
    for (size_t k = 0; k < walk->count && (double)k < cells; k++)
        sum += walk->below[k];
    return sum;
}

bool days_at_risk(const struct fefo_lot *lots, size_t count, const struct pmf *pmf, double grid, double risk,
                  int64_t most, struct arena *arena, int64_t *days)
{
    struct target *targets = arena_take(arena, count, sizeof *targets);
    struct walk walk;
    size_t done = 0;
    double steps = 0;
    if (!targets)
        return false;
    for (size_t i = 0; i < count; i++)
        targets[i] = (struct target){steps_to(lots[i].quantity, grid), i};
    if (count == 0)
        return true;
    if (!rule_sort(arena, targets, count, sizeof *targets, compare) ||
        !start(pmf, targets[count - 1].cells, arena, &walk))
        return false;
    for (int64_t n = 1; done < count; n++) {
        steps += (double)walk.count * (double)(walk.step_count + 1);
        if (steps > MOST_STEPS)
            return false;
        if (n <= most)
            add_day(&walk);
        while (done < count && (n > most || sum_below(&walk, targets[done].cells) <= risk + RULE_PROBABILITY_SLACK))
            days[targets[done++].lot] = n;
    }
    return true;
}
