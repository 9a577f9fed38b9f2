#include "tests/rules/arena_room.h"

#include <stdlib.h>

enum { ROOM = 128 * 1024 * 1024 };
static void *memory;

int arena_room_set_up(void **state)
{
    (void)state;
    memory = malloc(ROOM);
    return memory == NULL;
}

int arena_room_tear_down(void **state)
{
    (void)state;
    free(memory);
    memory = NULL;
    return 0;
}

void arena_room_begin(struct arena *arena)
{
    arena_init(arena, memory, ROOM);
}
