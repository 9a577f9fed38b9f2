#include "kiosk/rules/names.h"

#include <string.h>

#include "kiosk/rules/rule.h"

static int by_text(const void *a, const void *b)
{
    return strcmp(((const struct name *)a)->text, ((const struct name *)b)->text);
}

bool names_init(struct names *names, const char *const *first, size_t count, size_t step, struct arena *arena)
{
    struct name *sorted = arena_take(arena, count, sizeof *sorted);
    *names = (struct names){.sorted = sorted};
    if (!sorted)
        return false;
    for (size_t i = 0; i < count; i++)
        sorted[i] = (struct name){*(const char *const *)(const void *)((const char *)first + i * step), (uint32_t)i};
    if (!rule_sort(arena, sorted, count, sizeof *sorted, by_text))
        return false;
    for (size_t i = 0; i < count; i++)
        if (names->count == 0 || strcmp(sorted[names->count - 1].text, sorted[i].text) != 0)
            sorted[names->count++] = sorted[i];
    return true;
}

int64_t names_find(const struct names *names, const char *text)
{
    size_t low = 0, high = names->count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        const int way = strcmp(names->sorted[middle].text, text);
        if (way == 0)
            return (int64_t)middle;
        if (way < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NAMES_NONE;
}
