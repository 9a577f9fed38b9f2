#include "kiosk/rules/arena.h"

#include <assert.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

void arena_init(struct arena *arena, void *memory, size_t size)
{
    const size_t off = (uintptr_t)memory % _Alignof(max_align_t), skipped = off ? _Alignof(max_align_t) - off : 0;
    *arena = (struct arena){.memory = memory, .size = size, .used = skipped < size ? skipped : size};
}

void *arena_take(struct arena *arena, size_t count, size_t size)
{
    const size_t step = _Alignof(max_align_t), left = arena->size - arena->used;
    assert(size > 0);
    if (count > left / size) {
        arena->full = true;
        return NULL;
    }
    const size_t wanted = (count * size + step) / step * step; /* one byte more at least: no two pieces are the same */
    if (wanted > left) {
        arena->full = true;
        return NULL;
    }
    void *piece = arena->memory + arena->used;
    arena->used += wanted;
    memset(piece, 0, wanted);
    return piece;
}

size_t arena_mark(const struct arena *arena)
{
    return arena->used;
}

void arena_release(struct arena *arena, size_t mark)
{
    assert(mark <= arena->used);
    arena->used = mark;
}
