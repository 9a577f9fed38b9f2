#include "kiosk/rules/load_sums.h"

static struct load_bits *set_of(const struct load_reach *reach, int32_t taken, int32_t sealed)
{
    return &reach->sums[(size_t)taken * (size_t)(reach->window->sealed + 1) + (size_t)sealed];
}

const struct load_bits *load_reach_sums(const struct load_reach *reach, int32_t taken, int32_t sealed)
{
    return set_of(reach, taken, sealed);
}

bool load_reach_init(struct load_reach *reach, const struct load_window *window, int32_t of_one, struct arena *arena)
{
    const size_t across = (size_t)window->sealed + 1, sets = ((size_t)of_one + 1) * across;
    *reach = (struct load_reach){.window = window, .lines = of_one + 1, .width = window->high / LOAD_WORD + 1};
    if ((uint64_t)reach->width > SIZE_MAX / sizeof(uint64_t) / sets)
        return false;
    reach->sums = arena_take(arena, sets, sizeof *reach->sums);
    reach->words = arena_take(arena, sets * (size_t)reach->width, sizeof *reach->words);
    if (!reach->sums || !reach->words)
        return false;
    for (size_t i = 0; i < sets; i++)
        reach->sums[i].words = reach->words + i * (size_t)reach->width;
    load_reach_restart(reach);
    return true;
}

/* A set's words outside first..count are 0 too, so that it can grow into them. */
static void empty(struct load_bits *set)
{
    load_bits_clear(set);
    set->words -= set->first;
    set->first = set->count = 0;
}

void load_reach_restart(struct load_reach *reach)
{
    for (int32_t taken = 0; taken < reach->lines; taken++)
        for (int32_t sealed = 0; sealed <= reach->window->sealed; sealed++)
            empty(set_of(reach, taken, sealed));
    reach->at = reach->before = 0;
    struct load_bits *start = set_of(reach, 0, 0);
    start->count = 1;
    load_bits_put(start, 0);
}

/* Makes room in `to` for all of `from` moved up by `up`, then adds it. */
static void add(const struct load_reach *reach, struct load_bits *to, const struct load_bits *from, int64_t up)
{
    if (from->count == 0)
        return;
    int64_t first = from->first + up / LOAD_WORD, end = first + from->count + 1;
    if (end > reach->width)
        end = reach->width;
    if (first >= end)
        return;
    if (to->count > 0) {
        first = to->first < first ? to->first : first;
        end = to->first + to->count > end ? to->first + to->count : end;
    }
    to->words += first - to->first;
    to->first = first;
    to->count = end - first;
    load_bits_add(to, from, up);
    if (end == reach->width) /* the sums above the high end that share its word */
        to->words[to->count - 1] &= ~(uint64_t)0 >> (LOAD_WORD - 1 - reach->window->high % LOAD_WORD);
}

void load_reach_next(struct load_reach *reach, enum load_mark mark)
{
    const struct load_item *item = &reach->window->items[reach->at++];
    if (mark == LOAD_OUT)
        return;
    for (int32_t taken = reach->lines - 1; taken >= 0; taken--)
        for (int32_t sealed = reach->window->sealed; sealed >= 0; sealed--) {
            struct load_bits *to = set_of(reach, taken, sealed);
            if (mark == LOAD_IN)
                empty(to);
            if (taken > 0 && sealed >= item->sealed)
                add(reach, to, set_of(reach, taken - 1, sealed - item->sealed), item->ml);
        }
}

void load_reach_end_expiry(struct load_reach *reach, int32_t taken)
{
    for (int32_t sealed = 0; sealed <= reach->window->sealed; sealed++) {
        const struct load_bits kept = *set_of(reach, taken, sealed), other = *set_of(reach, 0, sealed);
        *set_of(reach, taken, sealed) = other;
        *set_of(reach, 0, sealed) = kept;
        for (int32_t line = 1; line < reach->lines; line++)
            empty(set_of(reach, line, sealed));
    }
    reach->before += taken;
}
