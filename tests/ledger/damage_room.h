#ifndef TESTS_LEDGER_DAMAGE_ROOM_H
#define TESTS_LEDGER_DAMAGE_ROOM_H

#include "tests/support/ledger_fixture.h"

/* A ledger of some size, for tests that damage its file, and one whose writer ended without closing it. */

/* `units` cartridges taken on, each moved `moves` times between two places; every movement's act has a stored answer
 * and every tenth a note. In an open writer's ledger. */
void damage_room_fill(struct ledger *ledger, int units, int moves);
/* Opens, fills, closes. */
void damage_room_make(const struct ledger_fixture *fixture, int units, int moves);
/* The same in a child process that ends without closing: the log keeps `moves` commits. Returns the child's number. */
int damage_room_abandon(const struct ledger_fixture *fixture, int moves);

long damage_room_size(const struct ledger_fixture *fixture, const char *suffix); /* of the file, "-wal", "-shm" */
void damage_room_write(const struct ledger_fixture *fixture, const char *suffix, long at, const void *bytes,
                       size_t length);
void damage_room_read(const struct ledger_fixture *fixture, const char *suffix, long at, void *bytes, size_t length);
void damage_room_cut(const struct ledger_fixture *fixture, const char *suffix, long size);

/* One number by SQL on a connection of the test's own. */
long damage_room_number(const struct ledger_fixture *fixture, const char *sql);

#endif
