#include "kiosk/rules/load_choice.h"

#include <string.h>

#include "kiosk/rules/load_cover.h"
#include "labels/basics/steady_sort.h"

/* A table of sums grows with the amounts. For a few containers of amounts that no print room has, all sets are tried.
 */
enum { FEW = 16, LARGE = 1000000 };

/* --- the first two aims, which need no search --- */

/* What the largest n hold, of the opened and of the sealed; no more than the need is counted. */
struct largest {
    int64_t *ml[2];
    int32_t count[2];
};

static int falling(const void *a, const void *b)
{
    const int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;
    return (one < two) - (one > two);
}

static bool sort_largest(const struct load_want *want, struct arena *arena, struct largest *largest)
{
    uint32_t *order = arena_take(arena, (size_t)want->count, sizeof *order);
    int64_t spare = 0;
    *largest = (struct largest){{arena_take(arena, (size_t)want->count, sizeof(int64_t)),
                                 arena_take(arena, (size_t)want->count, sizeof(int64_t))}};
    if (!order || !largest->ml[0] || !largest->ml[1])
        return false;
    for (int32_t i = 0; i < want->count; i++) {
        const bool sealed = want->items[i].sealed;
        largest->ml[sealed][largest->count[sealed]++] = want->items[i].ml;
    }
    for (int kind = 0; kind < 2; kind++)
        steady_sort(largest->ml[kind], (size_t)largest->count[kind], sizeof(int64_t), falling, order, &spare);
    return true;
}

/* The fewest containers that hold the need, whatever they are. */
static int32_t fewest(const struct load_want *want, const struct largest *largest)
{
    int32_t at[2] = {0, 0};
    for (int64_t sum = 0; sum < want->need;) {
        const bool sealed =
            at[0] == largest->count[0] || (at[1] < largest->count[1] && largest->ml[1][at[1]] > largest->ml[0][at[0]]);
        sum += largest->ml[sealed][at[sealed]++];
    }
    return at[0] + at[1];
}

/* Do so many sealed ones and, of the opened, the largest that are still allowed hold the need? */
static bool holds(const struct load_want *want, const struct largest *largest, int32_t sealed, int32_t most)
{
    int64_t sum = 0;
    for (int32_t i = 0; i < sealed && sum < want->need; i++)
        sum += largest->ml[1][i];
    for (int32_t i = 0; i < largest->count[0] && i < most - sealed && sum < want->need; i++)
        sum += largest->ml[0][i];
    return sum >= want->need;
}

/* Fewest changes: no more containers than there are slots, or else than it takes. Then the fewest sealed ones. With
 * these two as bounds every minimal cover has exactly that many of both, for fewer is not possible. */
static bool find_bounds(const struct load_want *want, struct arena *arena, struct load_bounds *bounds)
{
    struct largest largest;
    if (!sort_largest(want, arena, &largest))
        return false;
    const int32_t needed = fewest(want, &largest);
    bounds->size = want->slots < want->count ? (int32_t)want->slots : want->count;
    if (needed > bounds->size)
        bounds->size = needed;
    bounds->sealed = 0;
    while (!holds(want, &largest, bounds->sealed, bounds->size))
        bounds->sealed++;
    return true;
}

/* --- which of two choices --- */

int load_compare_slack(const struct load_want *want, int64_t a, int64_t b)
{
    const int64_t dreg_a = a < want->dreg ? a : 0, dreg_b = b < want->dreg ? b : 0;
    return dreg_a != dreg_b ? (dreg_a > dreg_b) - (dreg_a < dreg_b) : (a > b) - (a < b);
}

int load_compare_expiries(const struct load_want *want, const int32_t *a, const int32_t *b)
{
    for (int32_t i = 0; i < want->expiries; i++)
        if (a[i] != b[i])
            return a[i] > b[i] ? -1 : 1;
    return 0;
}

/* Containers that are empty afterwards: the more, the fewer partials are left, as many sealed ones being opened. */
static int compare_emptied(const struct load_choice *a, const struct load_choice *b)
{
    const int32_t one = a->size - (a->slack > 0), two = b->size - (b->slack > 0);
    return (one < two) - (one > two);
}

/* Of two with as many containers: who has the first id that the other has not. */
static int compare_ids(const struct load_want *want, const struct load_choice *a, const struct load_choice *b)
{
    uint32_t first = UINT32_MAX;
    int way = 0;
    for (int32_t i = 0; i < want->count; i++)
        if (a->taken[i] != b->taken[i] && want->items[i].id < first) {
            first = want->items[i].id;
            way = a->taken[i] ? -1 : 1;
        }
    return way;
}

/* Of two within the bounds: negative when `a` is better. When all else is level, they have as many containers. */
static int compare(const struct load_want *want, const struct load_choice *a, const struct load_choice *b)
{
    const int emptied = compare_emptied(a, b), expiries = load_compare_expiries(want, a->of_expiry, b->of_expiry),
              slack = load_compare_slack(want, a->slack, b->slack);
    const int ways[][3] = {[LOAD_PARTIALS] = {emptied, expiries, slack},
                           [LOAD_FEFO] = {expiries, emptied, slack},
                           [LOAD_BEST_FIT] = {slack, expiries, emptied}};
    for (int i = 0; i < 3; i++)
        if (ways[want->objective][i] != 0)
            return ways[want->objective][i];
    return compare_ids(want, a, b);
}

/* --- choosing --- */

bool load_choice_init(const struct load_want *want, struct arena *arena, struct load_choice *choice)
{
    *choice = (struct load_choice){.taken = arena_take(arena, (size_t)want->count, sizeof *choice->taken),
                                   .of_expiry = arena_take(arena, (size_t)want->expiries, sizeof *choice->of_expiry)};
    return choice->taken && choice->of_expiry;
}

/* The best choice so far and the one that is being looked at. */
struct contest {
    struct load_choice best, other;
};

static void start_other(const struct load_want *want, struct contest *contest)
{
    struct load_choice *other = &contest->other;
    memset(other->taken, 0, (size_t)want->count * sizeof *other->taken);
    memset(other->of_expiry, 0, (size_t)want->expiries * sizeof *other->of_expiry);
    other->size = other->sealed = 0;
    other->slack = -want->need;
}

static void add_to_other(const struct load_want *want, int32_t at, struct contest *contest)
{
    const struct load_item *item = &want->items[at];
    contest->other.taken[at] = true;
    contest->other.of_expiry[item->expiry]++;
    contest->other.size++;
    contest->other.sealed += item->sealed;
    contest->other.slack += item->ml;
}

static void keep_better(const struct load_want *want, struct contest *contest)
{
    const struct load_choice other = contest->other;
    if (contest->best.size > 0 && compare(want, &other, &contest->best) >= 0)
        return;
    contest->other = contest->best;
    contest->best = other;
}

/* One container that holds the need alone. Its amount may be far larger than the need: no table has room for it. */
static void try_alone(const struct load_want *want, const struct load_bounds *bounds, struct contest *contest)
{
    for (int32_t i = 0; i < want->count; i++) {
        if (want->items[i].ml < want->need || want->items[i].sealed != bounds->sealed)
            continue;
        start_other(want, contest);
        add_to_other(want, i, contest);
        keep_better(want, contest);
    }
}

/* All sets of a few containers. */
static void try_all(const struct load_want *want, const struct load_bounds *bounds, struct contest *contest)
{
    for (uint32_t set = 1; set < (uint32_t)1 << want->count; set++) {
        int64_t least = INT64_MAX;
        start_other(want, contest);
        for (int32_t i = 0; i < want->count; i++)
            if (set >> i & 1) {
                add_to_other(want, i, contest);
                least = want->items[i].ml < least ? want->items[i].ml : least;
            }
        const struct load_choice *other = &contest->other;
        if (other->slack >= 0 && other->slack < least && other->size <= bounds->size && other->sealed == bounds->sealed)
            keep_better(want, contest);
    }
}

bool load_choose(const struct load_want *want, struct arena *arena, struct load_choice *choice)
{
    struct load_bounds bounds;
    struct contest contest;
    if (!find_bounds(want, arena, &bounds) || !load_choice_init(want, arena, &contest.best) ||
        !load_choice_init(want, arena, &contest.other))
        return false;
    if (want->count <= FEW && want->need > LARGE) {
        try_all(want, &bounds, &contest);
    } else {
        try_alone(want, &bounds, &contest);
        const size_t mark = arena_mark(arena);
        start_other(want, &contest);
        if (!load_cover(want, &bounds, arena, &contest.other))
            return false;
        arena_release(arena, mark);
        if (contest.other.size > 0)
            keep_better(want, &contest);
    }
    *choice = contest.best;
    choice->sealed = bounds.sealed;
    return true;
}
