#include "kiosk/rules/text_kinds.h"

#include <string.h>

#include "labels/basics/steady_sort.h"

struct entry {
    const char *text;
    size_t index;
};

static int compare_texts(const void *a, const void *b)
{
    const struct entry *one = a, *two = b;
    return strcmp(one->text, two->text);
}

bool text_kinds_find(const char *const *texts, size_t count, struct arena *arena, struct text_kinds *found)
{
    struct entry *sorted = arena_take(arena, count, sizeof *sorted), spare;
    uint32_t *order = arena_take(arena, count, sizeof *order);
    size_t stated = 0;
    found->kinds = arena_take(arena, count, sizeof *found->kinds);
    found->of = arena_take(arena, count, sizeof *found->of);
    found->count = 0;
    if (!sorted || !order || !found->kinds || !found->of)
        return false;
    for (size_t i = 0; i < count; i++) {
        found->of[i] = TEXT_KINDS_NONE;
        if (texts[i])
            sorted[stated++] = (struct entry){texts[i], i};
    }
    steady_sort(sorted, stated, sizeof *sorted, compare_texts, order, &spare);
    for (size_t i = 0; i < stated; i++) {
        if (i == 0 || strcmp(sorted[i - 1].text, sorted[i].text) != 0)
            found->kinds[found->count++] = sorted[i].text;
        found->of[sorted[i].index] = found->count - 1;
    }
    return true;
}
