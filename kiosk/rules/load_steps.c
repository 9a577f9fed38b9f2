#include "kiosk/rules/load_steps.h"

#include <string.h>

#include "labels/basics/steady_sort.h"

int64_t load_last_slack(const struct load_items *all)
{
    return all->falling[0].ml - 1;
}

int64_t load_slack_in_ml(const struct load_items *all, int64_t slack)
{
    return slack * all->unit + all->rest;
}

/* The least slack of `slacks` that is not below `least` ml; -1: none. */
int64_t load_slack_from(const struct load_items *all, const struct load_bits *slacks, int64_t least)
{
    const int64_t from = least <= all->rest ? 0 : (least - all->rest - 1) / all->unit + 1;
    return load_bits_lowest(slacks, from, load_last_slack(all));
}

/* --- levels: between two neighbouring amounts --- */

struct level {
    int64_t least;     /* containers of this amount and above are of it */
    int64_t low, high; /* slacks */
};

/* The next level upwards that has a slack of `slacks`, from `from` on. */
static bool next_level(const struct load_items *all, const struct load_bits *slacks, int64_t from, struct level *level)
{
    level->low = load_bits_lowest(slacks, from, load_last_slack(all));
    if (level->low < 0)
        return false;
    int32_t least = all->count - 1;
    while (least > 0 && all->falling[least].ml <= level->low)
        least--;
    level->least = all->falling[least].ml;
    level->high = load_bits_highest(slacks, level->low, level->least - 1);
    return true;
}

/* A level's window; its items are copied. `of_expiry`: NULL, or how many of each, and none of the others. */
static bool open_window(const struct load_items *all, const struct load_aim *aim, const struct level *level,
                        const int32_t *of_expiry, struct load_window *window)
{
    struct load_item *items = arena_take(all->arena, (size_t)all->count, sizeof *items);
    *window = (struct load_window){.items = items,
                                   .opens = aim->opens,
                                   .sealed = all->sealed,
                                   .at_most = aim->at_most,
                                   .of_expiry = of_expiry,
                                   .low = all->need + level->low,
                                   .high = all->need + level->high};
    for (int32_t i = 0; items && i < all->count; i++)
        if (all->items[i].ml >= level->least && (!of_expiry || of_expiry[all->items[i].expiry] > 0))
            items[window->count++] = all->items[i];
    return items != NULL;
}

/* --- the numbers of each expiry --- */

/* Can the level give better numbers than `best`, if nothing but too much is a hindrance? As many as possible of the
 * first expiry, the smallest, then of the second, …: no set of the level has better ones. */
static bool may_be_better(const struct load_items *all, const struct load_window *window, int64_t least,
                          const int32_t *best)
{
    int64_t sum = 0;
    int32_t taken = 0, i = 0;
    for (int32_t expiry = 0; expiry < all->want->expiries; expiry++) {
        int32_t here = 0;
        bool full = false;
        for (; i < all->count && all->rising[i].expiry == (uint32_t)expiry; i++) {
            const int64_t ml = all->rising[i].ml;
            if (full || ml < least)
                continue;
            full = sum + ml > window->high || taken == window->opens + window->sealed;
            sum += full ? 0 : ml;
            taken += !full;
            here += !full;
        }
        if (here != best[expiry])
            return here > best[expiry];
    }
    return false; /* no better, at most as good */
}

/* Expiry by expiry the largest number with which what is reached still leads into the window. */
static bool read_numbers(const struct load_items *all, const struct load_window *window, const struct load_table *table,
                         int32_t *of_expiry)
{
    struct load_reach reach;
    const int32_t taken_in_all = window->opens + window->sealed;
    const int32_t of_one = taken_in_all < all->largest_expiry ? taken_in_all : all->largest_expiry;
    memset(of_expiry, 0, (size_t)all->want->expiries * sizeof *of_expiry);
    if (!load_reach_init(&reach, window, of_one, all->arena))
        return false;
    for (int32_t at = 0; at < window->count;) {
        const uint32_t expiry = window->items[at].expiry;
        for (; at < window->count && window->items[at].expiry == expiry; at++)
            load_reach_next(&reach, LOAD_FREE);
        int32_t taken = of_one;
        while (taken > 0 && !load_meets(&reach, table, taken))
            taken--;
        of_expiry[expiry] = taken;
        load_reach_end_expiry(&reach, taken);
    }
    return true;
}

/* Betters `best`, in which nothing may stand yet (first number -1). */
bool load_find_numbers(const struct load_items *all, const struct load_aim *aim, int32_t *best)
{
    const size_t size = (size_t)all->want->expiries * sizeof *best;
    int32_t *numbers = arena_take(all->arena, size, 1);
    struct level level = {.high = -1};
    while (numbers && next_level(all, &aim->slacks, level.high + 1, &level)) {
        const size_t mark = arena_mark(all->arena);
        struct load_window window;
        struct load_table table;
        if (!open_window(all, aim, &level, NULL, &window))
            return false;
        if (may_be_better(all, &window, level.least, best)) {
            if (!load_table_init(&table, &window, all->arena) || !read_numbers(all, &window, &table, numbers))
                return false;
            if (load_compare_expiries(all->want, numbers, best) < 0)
                memcpy(best, numbers, size);
        }
        arena_release(all->arena, mark);
    }
    return numbers != NULL;
}

/* --- the slack, the numbers being known --- */

int32_t load_sum_of(const struct load_items *all, const int32_t *of_expiry)
{
    int32_t sum = 0;
    for (int32_t i = 0; i < all->want->expiries; i++)
        sum += of_expiry[i];
    return sum;
}

static int32_t most_of(const int32_t *numbers, int32_t count)
{
    int32_t most = 0;
    for (int32_t i = 0; i < count; i++)
        most = numbers[i] > most ? numbers[i] : most;
    return most;
}

/* The least slack of a level's window; *slack stays when none is reached. */
static bool look_in_level(const struct load_items *all, const struct load_window *window, int64_t *slack)
{
    struct load_reach reach;
    int32_t left = load_sum_of(all, window->of_expiry);
    if (!load_reach_init(&reach, window, most_of(window->of_expiry, all->want->expiries), all->arena))
        return false;
    for (int32_t at = 0; at < window->count;) {
        const uint32_t expiry = window->items[at].expiry;
        for (; at < window->count && window->items[at].expiry == expiry; at++)
            load_reach_next(&reach, LOAD_FREE);
        load_reach_end_expiry(&reach, window->of_expiry[expiry]);
        left -= window->of_expiry[expiry];
    }
    const int64_t sum = load_bits_lowest(load_reach_sums(&reach, 0, window->sealed), window->low, window->high);
    if (left == 0 && sum >= 0)
        *slack = sum - all->need;
    return true;
}

/* Of at least `least` ml, the least. */
static bool find_slack_from(const struct load_items *all, const struct load_aim *aim, const int32_t *of_expiry,
                            int64_t least, int64_t *slack)
{
    struct level level;
    int64_t from = load_slack_from(all, &aim->slacks, least);
    while (*slack < 0 && from >= 0 && next_level(all, &aim->slacks, from, &level)) {
        const size_t mark = arena_mark(all->arena);
        struct load_window window;
        if (!open_window(all, aim, &level, of_expiry, &window) || !look_in_level(all, &window, slack))
            return false;
        arena_release(all->arena, mark);
        from = level.high + 1;
    }
    return true;
}

/* None at all, or else the least that is of use, or else the least. */
bool load_find_slack(const struct load_items *all, const struct load_aim *aim, const int32_t *of_expiry, int64_t *slack)
{
    *slack = -1;
    if (all->rest == 0 && load_bits_has(&aim->slacks, 0)) {
        uint64_t bit = 1;
        const struct load_aim none = {aim->opens, aim->at_most, {&bit, 0, 1}};
        if (!find_slack_from(all, &none, of_expiry, 0, slack))
            return false;
    }
    return find_slack_from(all, aim, of_expiry, all->want->dreg, slack) &&
           find_slack_from(all, aim, of_expiry, 0, slack);
}

/* --- the ids, numbers and slack being known --- */

static int by_id(const void *a, const void *b)
{
    const struct load_item *one = a, *two = b;
    return (one->id > two->id) - (one->id < two->id);
}

static void reach_to(struct load_reach *reach, const enum load_mark *marks, int32_t place)
{
    const struct load_window *window = reach->window;
    if (reach->at > place)
        load_reach_restart(reach);
    while (reach->at < place) {
        const uint32_t expiry = window->items[reach->at].expiry;
        load_reach_next(reach, marks[reach->at]);
        if (reach->at < window->count && window->items[reach->at].expiry != expiry)
            load_reach_end_expiry(reach, window->of_expiry[expiry]);
    }
}

/* Which place of the window each of `ids`, sorted by id, has. */
static int32_t place_of(const struct load_window *window, const struct load_item *wanted)
{
    int32_t low = 0, high = window->count - 1;
    while (low < high) {
        const int32_t middle = low + (high - low) / 2;
        const struct load_item *item = &window->items[middle];
        if (item->expiry < wanted->expiry || (item->expiry == wanted->expiry && item->id < wanted->id))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* In the order of ids, each is taken when a cover can still be made with it. The table is right behind the last place
 * that was decided, `sound`, and reckoned anew before it only when an earlier place comes to be decided. */
static bool decide(const struct load_window *window, const struct load_item *ids, enum load_mark *marks, int32_t size,
                   struct arena *arena)
{
    struct load_reach reach;
    struct load_table table;
    int32_t sound = 0;
    if (!load_table_init(&table, window, arena) || !load_reach_init(&reach, window, size, arena))
        return false;
    table.marks = marks;
    for (int32_t i = 0; i < window->count; i++) {
        const int32_t place = place_of(window, &ids[i]);
        if (sound > place + 1)
            load_table_redo(&table, sound, place + 1);
        reach_to(&reach, marks, place);
        marks[place] = load_meets_with_next(&reach, &table) ? LOAD_IN : LOAD_OUT;
        sound = place + 1;
    }
    return true;
}

bool load_find_ids(const struct load_items *all, const struct load_aim *aim, int64_t slack, struct load_choice *choice)
{
    const struct level level = {slack + 1, slack, slack};
    struct load_window window;
    struct load_item spare;
    if (!open_window(all, aim, &level, choice->of_expiry, &window))
        return false;
    const size_t count = (size_t)window.count;
    struct load_item *ids = arena_take(all->arena, count, sizeof *ids);
    uint32_t *order = arena_take(all->arena, count, sizeof *order);
    enum load_mark *marks = arena_take(all->arena, count, sizeof *marks);
    if (!ids || !order || !marks)
        return false;
    memcpy(ids, window.items, count * sizeof *ids);
    steady_sort(ids, count, sizeof *ids, by_id, order, &spare);
    if (!decide(&window, ids, marks, most_of(choice->of_expiry, all->want->expiries), all->arena))
        return false;
    for (int32_t i = 0, at = 0; i < window.count; i++) {
        while (all->items[at].id != window.items[i].id)
            at++;
        choice->taken[all->of_want[at]] = marks[i] == LOAD_IN;
    }
    return true;
}
