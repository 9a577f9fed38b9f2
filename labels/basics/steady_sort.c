#include "labels/basics/steady_sort.h"

#include <assert.h>
#include <stdbool.h>
#include <string.h>

struct places {
    const unsigned char *items;
    size_t size;
    steady_compare *compare;
    uint32_t *order;
};

static bool is_behind(const struct places *places, uint32_t a, uint32_t b)
{
    const int way = places->compare(places->items + a * places->size, places->items + b * places->size);
    return way > 0 || (way == 0 && a > b);
}

/* Below `top` all are a heap with the last one on top; now `top` is among them. */
static void sift(const struct places *places, size_t top, size_t count)
{
    const uint32_t moved = places->order[top];
    for (size_t child; (child = 2 * top + 1) < count; top = child) {
        if (child + 1 < count && is_behind(places, places->order[child + 1], places->order[child]))
            child++;
        if (!is_behind(places, places->order[child], moved))
            break;
        places->order[top] = places->order[child];
    }
    places->order[top] = moved;
}

/* Item order[i] goes to place i, round each cycle of the permutation; `order` is used up. */
static void move_items(unsigned char *items, size_t count, size_t size, uint32_t *order, void *spare)
{
    for (size_t start = 0; start < count; start++) {
        if (order[start] == start)
            continue;
        memcpy(spare, items + start * size, size);
        size_t at = start;
        for (size_t from; (from = order[at]) != start; at = from) {
            memcpy(items + at * size, items + from * size, size);
            order[at] = (uint32_t)at;
        }
        memcpy(items + at * size, spare, size);
        order[at] = (uint32_t)at;
    }
}

void steady_sort(void *items, size_t count, size_t size, steady_compare *compare, uint32_t *order, void *spare)
{
    assert(count <= UINT32_MAX);
    const struct places places = {items, size, compare, order};
    for (size_t i = 0; i < count; i++)
        order[i] = (uint32_t)i;
    for (size_t top = count / 2; top-- > 0;)
        sift(&places, top, count);
    for (size_t last = count; last-- > 1;) {
        const uint32_t behind = order[0];
        order[0] = order[last];
        order[last] = behind;
        sift(&places, 0, last);
    }
    move_items(items, count, size, order, spare);
}
