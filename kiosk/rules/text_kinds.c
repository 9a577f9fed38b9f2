#include "kiosk/rules/text_kinds.h"

#include "kiosk/rules/names.h"

bool text_kinds_find(const char *const *texts, size_t count, struct arena *arena, struct text_kinds *found)
{
    const char **stated = arena_take(arena, count, sizeof *stated);
    struct names names;
    size_t stated_count = 0;
    found->of = arena_take(arena, count, sizeof *found->of);
    for (size_t i = 0; stated && i < count; i++)
        if (texts[i])
            stated[stated_count++] = texts[i];
    if (!stated || !found->of || !names_init(&names, stated, stated_count, sizeof *stated, arena))
        return false;
    for (size_t i = 0; i < count; i++)
        found->of[i] = texts[i] ? (size_t)names_find(&names, texts[i]) : TEXT_KINDS_NONE;
    for (size_t i = 0; i < names.count; i++)
        stated[i] = names.sorted[i].text; /* no more than there were */
    found->kinds = stated;
    found->count = names.count;
    return true;
}
