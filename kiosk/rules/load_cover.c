#include "kiosk/rules/load_cover.h"

#include <string.h>

#include "kiosk/rules/load_steps.h"
#include "labels/basics/steady_sort.h"

/* --- making ready --- */

static int64_t common_divisor(int64_t a, int64_t b)
{
    while (b > 0) {
        const int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static int by_amount(const void *a, const void *b)
{
    const struct load_item *one = a, *two = b;
    return (one->ml < two->ml) - (one->ml > two->ml);
}

static int by_expiry(const void *a, const void *b)
{
    const struct load_item *one = a, *two = b;
    return one->expiry != two->expiry ? (one->expiry > two->expiry) - (one->expiry < two->expiry)
                                      : (one->ml > two->ml) - (one->ml < two->ml);
}

static struct load_item *sorted(const struct load_items *all, steady_compare *compare)
{
    const size_t count = (size_t)all->count;
    struct load_item *items = arena_take(all->arena, count, sizeof *items), spare;
    uint32_t *order = arena_take(all->arena, count, sizeof *order);
    if (!items || !order)
        return NULL;
    if (count > 0)
        memcpy(items, all->items, count * sizeof *items);
    steady_sort(items, count, sizeof *items, compare, order, &spare);
    return items;
}

static void divide(struct load_items *all)
{
    for (int32_t i = 0; i < all->count; i++)
        all->unit = common_divisor(all->unit, all->items[i].ml);
    if (all->unit == 0)
        all->unit = 1;
    for (int32_t i = 0; i < all->count; i++)
        all->items[i].ml /= all->unit;
    all->need = (all->want->need - 1) / all->unit + 1;
    all->rest = all->need * all->unit - all->want->need;
}

static bool make_ready(struct load_items *all, const struct load_bounds *bounds)
{
    const struct load_want *want = all->want;
    int32_t counts[2] = {0, 0}, of_this = 0;
    all->items = arena_take(all->arena, (size_t)want->count, sizeof *all->items);
    all->of_want = arena_take(all->arena, (size_t)want->count, sizeof *all->of_want);
    if (!all->items || !all->of_want)
        return false;
    for (int32_t i = 0; i < want->count; i++) {
        const struct load_item *item = &want->items[i];
        if (item->ml >= want->need || (item->sealed && bounds->sealed == 0))
            continue;
        const bool another = all->count == 0 || all->items[all->count - 1].expiry != item->expiry;
        of_this = another ? 1 : of_this + 1;
        all->largest_expiry = of_this > all->largest_expiry ? of_this : all->largest_expiry;
        all->of_want[all->count] = i;
        all->items[all->count++] = *item;
        counts[item->sealed]++;
    }
    const int32_t opens = bounds->size - bounds->sealed;
    all->opens = opens < counts[0] ? opens : counts[0];
    all->sealed = bounds->sealed;
    if (counts[1] < all->sealed) /* they hold the need alone */
        all->count = 0;
    divide(all);
    all->falling = sorted(all, by_amount);
    all->rising = sorted(all, by_expiry);
    return all->falling && all->rising;
}

/* --- which slacks there are --- */

static bool take_slacks(struct load_items *all)
{
    const size_t words = (size_t)(all->falling[0].ml / LOAD_WORD + 1);
    all->slacks = arena_take(all->arena, (size_t)all->opens + 1, sizeof *all->slacks);
    for (int32_t i = 0; all->slacks && i <= all->opens; i++) {
        all->slacks[i] = (struct load_bits){arena_take(all->arena, words, sizeof(uint64_t)), 0, (int64_t)words};
        if (!all->slacks[i].words)
            return false;
    }
    return all->slacks != NULL;
}

/* Covers whose least container is `last`: what was reached by the larger ones, short of the need, and it. */
static void add_covers(struct load_items *all, const struct load_reach *reach, const struct load_item *last)
{
    const int32_t sealed = all->sealed - last->sealed;
    for (int32_t opens = last->sealed ? 0 : 1; sealed >= 0 && opens <= all->opens; opens++)
        load_bits_add(&all->slacks[opens], load_reach_sums(reach, opens - !last->sealed + sealed, sealed),
                      last->ml - all->need);
}

/* By falling amounts, so that the container which completes a cover is its least: the cover is minimal. */
static bool find_slacks(struct load_items *all)
{
    const struct load_window window = {
        .items = all->falling, .count = all->count, .opens = all->opens, .sealed = all->sealed, .high = all->need - 1};
    struct load_reach reach;
    if (!take_slacks(all))
        return false;
    const size_t mark = arena_mark(all->arena);
    if (!load_reach_init(&reach, &window, all->opens + all->sealed, all->arena))
        return false;
    for (int32_t i = 0; i < all->count; i++) {
        add_covers(all, &reach, &all->falling[i]);
        load_reach_next(&reach, LOAD_FREE);
    }
    arena_release(all->arena, mark);
    return true;
}

/* --- the objectives --- */

/* Most containers emptied: with no slack as many as are taken, else one less. Two numbers of containers can tie. */
static void aim_at_partials(const struct load_items *all, struct load_aim aims[2])
{
    int32_t most = INT32_MIN;
    for (int32_t opens = all->opens; opens >= 0; opens--) {
        const struct load_bits *slacks = &all->slacks[opens];
        const bool none = all->rest == 0 && load_bits_has(slacks, 0),
                   some = load_bits_lowest(slacks, all->rest == 0 ? 1 : 0, load_last_slack(all)) >= 0;
        if (!none && !some)
            continue;
        const int32_t emptied = none ? opens : opens - 1;
        most = emptied > most ? emptied : most;
    }
    for (int32_t i = 0; i < 2; i++) {
        aims[i].opens = most + i;
        aims[i].at_most = false;
        if (most + i >= 0 && most + i <= all->opens)
            aims[i].slacks = all->slacks[most + i];
    }
    /* the first with no slack, the second with some */
    if (aims[0].slacks.count > 0) {
        const bool none = all->rest == 0 && load_bits_has(&aims[0].slacks, 0);
        load_bits_clear(&aims[0].slacks);
        if (none)
            load_bits_put(&aims[0].slacks, 0);
    }
    if (aims[1].slacks.count > 0 && all->rest == 0)
        aims[1].slacks.words[0] &= ~(uint64_t)1;
}

/* As many as are allowed, any slack. The sets are added up in the first of them. */
static void aim_at_expiry(const struct load_items *all, struct load_aim *aim)
{
    *aim = (struct load_aim){all->opens, true, all->slacks[0]};
    for (int32_t opens = 1; opens <= all->opens; opens++)
        load_bits_add(&aim->slacks, &all->slacks[opens], 0);
}

static void aim_at_fit(const struct load_items *all, struct load_aim *aim)
{
    aim_at_expiry(all, aim);
    int64_t best = all->rest == 0 && load_bits_has(&aim->slacks, 0) ? 0 : -1;
    if (best < 0)
        best = load_slack_from(all, &aim->slacks, all->want->dreg);
    if (best < 0)
        best = load_slack_from(all, &aim->slacks, 0);
    load_bits_clear(&aim->slacks);
    load_bits_put(&aim->slacks, best);
}

/* Of the aims the one with the best numbers of each expiry. best[0] stays -1 when there is no cover. */
static bool find_best_numbers(const struct load_items *all, struct load_aim *aim, int32_t *best)
{
    struct load_aim aims[2] = {0};
    switch (all->want->objective) {
    case LOAD_PARTIALS:
        aim_at_partials(all, aims);
        break;
    case LOAD_FEFO:
        aim_at_expiry(all, &aims[0]);
        break;
    case LOAD_BEST_FIT:
        aim_at_fit(all, &aims[0]);
        break;
    }
    best[0] = -1;
    for (int i = 0; i < 2; i++)
        if (aims[i].slacks.count > 0 && !load_find_numbers(all, &aims[i], best))
            return false;
    const int32_t opens = load_sum_of(all, best) - all->sealed;
    *aim = aims[!aims[0].at_most && opens != aims[0].opens];
    aim->opens = opens;
    aim->at_most = false;
    return true;
}

bool load_cover(const struct load_want *want, const struct load_bounds *bounds, struct arena *arena,
                struct load_choice *choice)
{
    struct load_items all = {.want = want, .arena = arena};
    struct load_aim aim;
    int64_t slack = -1;
    if (!make_ready(&all, bounds))
        return false;
    if (all.count == 0)
        return true;
    if (!find_slacks(&all) || !find_best_numbers(&all, &aim, choice->of_expiry))
        return false;
    if (choice->of_expiry[0] < 0)
        return true;
    choice->size = aim.opens + all.sealed;
    if (!load_find_slack(&all, &aim, choice->of_expiry, &slack) || !load_find_ids(&all, &aim, slack, choice))
        return false;
    choice->slack = load_slack_in_ml(&all, slack);
    return true;
}
