#ifndef KIOSK_RULES_TEXT_KINDS_H
#define KIOSK_RULES_TEXT_KINDS_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/arena.h"

/* The different texts of a list (causes, groups), in ascending order of bytes, and which of them each entry is. */

#define TEXT_KINDS_NONE ((size_t)-1)

struct text_kinds {
    const char **kinds; /* the texts themselves are borrowed */
    size_t count;
    size_t *of; /* of each entry its place in `kinds`; TEXT_KINDS_NONE for one that is NULL */
};

/* False: the arena is full. */
bool text_kinds_find(const char *const *texts, size_t count, struct arena *arena, struct text_kinds *found);

#endif
