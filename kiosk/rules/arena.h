#ifndef KIOSK_RULES_ARENA_H
#define KIOSK_RULES_ARENA_H

#include <stdbool.h>
#include <stddef.h>

/* Memory for one decision, handed in by the caller, so that a rule can neither run away with the machine's memory nor
 * leak. Pieces are never given back singly; a mark takes back all that was taken after it. The caller owns `memory`. */

struct arena {
    unsigned char *memory;
    size_t size, used;
    bool full; /* a piece did not fit; stays true until arena_init */
};

void arena_init(struct arena *arena, void *memory, size_t size);

/* Room for `count` pieces of `size` bytes, zeroed, aligned for any type. NULL when it does not fit. Never NULL for 0
 * pieces. */
void *arena_take(struct arena *arena, size_t count, size_t size);

/* For what is needed in between: everything taken after the mark is gone. */
size_t arena_mark(const struct arena *arena);
void arena_release(struct arena *arena, size_t mark);

#endif
