#ifndef TESTS_RULES_ARENA_ROOM_H
#define TESTS_RULES_ARENA_ROOM_H

#include "kiosk/rules/arena.h"

/* Memory for the arenas of a whole test program: set_up and tear_down of its group. */
int arena_room_set_up(void **state);
int arena_room_tear_down(void **state);

/* An arena over all of it; what the one before held is gone. */
void arena_room_begin(struct arena *arena);

#endif
