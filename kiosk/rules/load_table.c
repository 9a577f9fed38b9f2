#include <string.h>

#include "kiosk/rules/load_sums.h"

/* Amounts of one kind of containers, largest first, and what the first n of them hold: the bounds that keep the sets of
 * the table short. */
struct ranking {
    int64_t *ml, *sum; /* sum[n]: of the n largest */
    int32_t count;
};

struct rankings {
    struct ranking before[2], behind[2]; /* of the place; [opened, sealed] */
};

static void sum_up(struct ranking *ranking, int32_t from)
{
    for (int32_t i = from; i < ranking->count; i++)
        ranking->sum[i + 1] = ranking->sum[i] + ranking->ml[i];
}

static void insert(struct ranking *ranking, int64_t ml)
{
    int32_t at = ranking->count++;
    for (; at > 0 && ranking->ml[at - 1] < ml; at--)
        ranking->ml[at] = ranking->ml[at - 1];
    ranking->ml[at] = ml;
    sum_up(ranking, at);
}

static void remove_one(struct ranking *ranking, int64_t ml)
{
    int32_t at = 0;
    while (ranking->ml[at] != ml)
        at++;
    ranking->count--;
    for (int32_t i = at; i < ranking->count; i++)
        ranking->ml[i] = ranking->ml[i + 1];
    sum_up(ranking, at);
}

static int64_t most(const struct ranking *ranking, int32_t count)
{
    return ranking->sum[count < ranking->count ? count : ranking->count];
}

static int64_t least(const struct ranking *ranking, int32_t count)
{
    return count < ranking->count ? ranking->sum[ranking->count] - ranking->sum[ranking->count - count]
                                  : ranking->sum[ranking->count];
}

static bool take_rankings(struct rankings *rankings, const struct load_window *window, struct arena *arena)
{
    struct ranking *all[] = {&rankings->before[0], &rankings->before[1], &rankings->behind[0], &rankings->behind[1]};
    for (int i = 0; i < 4; i++) {
        *all[i] = (struct ranking){arena_take(arena, (size_t)window->count, sizeof(int64_t)),
                                   arena_take(arena, (size_t)window->count + 1, sizeof(int64_t)), 0};
        if (!all[i]->ml || !all[i]->sum)
            return false;
    }
    for (int32_t i = 0; i < window->count; i++)
        insert(&rankings->before[window->items[i].sealed], window->items[i].ml);
    return true;
}

static int32_t larger(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

static int32_t smaller(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

/* How many of both kinds may still be to take at a place, when each expiry has its number. */
struct still {
    int32_t least, most;
};

static struct still still_at(const struct load_window *window, int32_t place, int32_t behind_expiry)
{
    if (!window->of_expiry)
        return (struct still){0, INT32_MAX};
    if (place == window->count)
        return (struct still){0, 0};
    const uint32_t expiry = window->items[place].expiry;
    int32_t start = place, end = place;
    while (start > 0 && window->items[start - 1].expiry == expiry)
        start--;
    while (end < window->count && window->items[end].expiry == expiry)
        end++;
    const int32_t wanted = window->of_expiry[expiry];
    return (struct still){behind_expiry + larger(0, wanted - (place - start)),
                          behind_expiry + smaller(wanted, end - place)};
}

/* The words that a set may need: no sum that cannot be reached from before, none that cannot lead on from here. */
static void bound_set(struct load_bits *set, const struct load_window *window, const struct rankings *rankings,
                      int32_t opens, int32_t sealed)
{
    const struct ranking *before = rankings->before, *behind = rankings->behind;
    const int32_t opens_used = window->opens - opens, sealed_used = window->sealed - sealed;
    const int64_t most_before = most(&before[0], opens_used) + most(&before[1], sealed_used),
                  least_before = (window->at_most ? 0 : least(&before[0], opens_used)) + least(&before[1], sealed_used),
                  most_behind = most(&behind[0], opens) + most(&behind[1], sealed),
                  least_behind = (window->at_most ? 0 : least(&behind[0], opens)) + least(&behind[1], sealed);
    int64_t low = window->low - most_behind, high = window->high - least_behind;
    low = low > least_before ? low : least_before;
    high = high < most_before ? high : most_before;
    if (low > high)
        return;
    set->first = low / LOAD_WORD;
    set->count = high / LOAD_WORD - set->first + 1;
}

/* Which numbers can be left to take at a place, and the room for their sums. */
static bool lay_out(struct load_place *place, const struct load_window *window, const struct rankings *rankings,
                    struct still still, struct arena *arena)
{
    const struct ranking *before = rankings->before, *behind = rankings->behind;
    const int32_t opens_to = smaller(window->opens, behind[0].count),
                  sealed_to = smaller(window->sealed, behind[1].count);
    place->opens_from = larger(0, smaller(window->opens - before[0].count, window->at_most ? opens_to : INT32_MAX));
    place->sealed_from = larger(0, window->sealed - before[1].count);
    place->opens_count = larger(0, opens_to - place->opens_from + 1);
    place->sealed_count = larger(0, sealed_to - place->sealed_from + 1);
    const size_t sets = (size_t)place->opens_count * (size_t)place->sealed_count;
    place->sums = arena_take(arena, sets, sizeof *place->sums);
    if (!place->sums)
        return false;
    for (size_t i = 0; i < sets; i++) {
        struct load_bits *set = &place->sums[i];
        const int32_t opens = place->opens_from + (int32_t)(i / (size_t)place->sealed_count),
                      sealed = place->sealed_from + (int32_t)(i % (size_t)place->sealed_count);
        if (opens + sealed >= still.least && opens + sealed <= still.most)
            bound_set(set, window, rankings, opens, sealed);
        if (set->count > 0 && !(set->words = arena_take(arena, (size_t)set->count, sizeof *set->words)))
            return false;
    }
    return true;
}

const struct load_bits *load_table_sums(const struct load_table *table, int32_t place, int32_t opens, int32_t sealed)
{
    const struct load_place *there = &table->places[place];
    const int32_t last = there->opens_from + there->opens_count - 1;
    if (table->window->at_most && opens > last) /* more are allowed than there are */
        opens = last;
    opens -= there->opens_from;
    sealed -= there->sealed_from;
    if (opens < 0 || opens >= there->opens_count || sealed < 0 || sealed >= there->sealed_count)
        return NULL;
    return &there->sums[opens * there->sealed_count + sealed];
}

static void reckon(struct load_table *table, int32_t at)
{
    const struct load_item *item = &table->window->items[at];
    const struct load_place *place = &table->places[at];
    const enum load_mark mark = table->marks ? table->marks[at] : LOAD_FREE;
    for (int32_t i = 0; i < place->opens_count * place->sealed_count; i++) {
        const int32_t opens = place->opens_from + i / place->sealed_count,
                      sealed = place->sealed_from + i % place->sealed_count;
        const struct load_bits *without = load_table_sums(table, at + 1, opens, sealed),
                               *with = load_table_sums(table, at + 1, opens - !item->sealed, sealed - item->sealed);
        load_bits_clear(&place->sums[i]);
        if (without && mark != LOAD_IN)
            load_bits_add(&place->sums[i], without, 0);
        if (with && mark != LOAD_OUT)
            load_bits_add(&place->sums[i], with, -item->ml);
    }
}

void load_table_redo(struct load_table *table, int32_t from, int32_t to)
{
    for (int32_t at = from - 1; at >= to; at--)
        reckon(table, at);
}

static void put_window(const struct load_table *table)
{
    const struct load_window *window = table->window;
    const struct load_bits *last = load_table_sums(table, window->count, 0, 0);
    for (int64_t sum = window->low; last && sum <= window->high; sum++)
        load_bits_put(last, sum);
}

bool load_table_init(struct load_table *table, const struct load_window *window, struct arena *arena)
{
    struct rankings rankings;
    int32_t behind_expiry = 0;
    *table = (struct load_table){.window = window};
    table->places = arena_take(arena, (size_t)window->count + 1, sizeof *table->places);
    if (!table->places || !take_rankings(&rankings, window, arena))
        return false;
    for (int32_t at = window->count; at >= 0; at--) {
        if (!lay_out(&table->places[at], window, &rankings, still_at(window, at, behind_expiry), arena))
            return false;
        if (at == window->count)
            put_window(table);
        else
            reckon(table, at);
        if (at == 0)
            break;
        const struct load_item *next = &window->items[at - 1];
        remove_one(&rankings.before[next->sealed], next->ml);
        insert(&rankings.behind[next->sealed], next->ml);
        if (window->of_expiry && at < window->count && window->items[at].expiry != next->expiry)
            behind_expiry += window->of_expiry[window->items[at].expiry];
    }
    return true;
}

/* --- where both meet --- */

bool load_meets(const struct load_reach *reach, const struct load_table *table, int32_t taken)
{
    const struct load_window *window = reach->window;
    for (int32_t sealed = 0; sealed <= window->sealed; sealed++) {
        const int32_t opens_used = reach->before + taken - sealed;
        if (opens_used < 0 || opens_used > window->opens)
            continue;
        const struct load_bits *on =
            load_table_sums(table, reach->at, window->opens - opens_used, window->sealed - sealed);
        if (on && load_bits_meet(on, load_reach_sums(reach, taken, sealed), 0))
            return true;
    }
    return false;
}

bool load_meets_with_next(const struct load_reach *reach, const struct load_table *table)
{
    const struct load_window *window = reach->window;
    const struct load_item *item = &window->items[reach->at];
    for (int32_t taken = 0; taken + 1 < reach->lines; taken++)
        for (int32_t sealed = item->sealed; sealed <= window->sealed; sealed++) {
            const int32_t opens_used = reach->before + taken + 1 - sealed;
            if (opens_used < 0 || opens_used > window->opens)
                continue;
            const struct load_bits *on =
                load_table_sums(table, reach->at + 1, window->opens - opens_used, window->sealed - sealed);
            if (on && load_bits_meet(on, load_reach_sums(reach, taken, sealed - item->sealed), item->ml))
                return true;
        }
    return false;
}
