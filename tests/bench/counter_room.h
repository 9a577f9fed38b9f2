#ifndef TESTS_BENCH_COUNTER_ROOM_H
#define TESTS_BENCH_COUNTER_ROOM_H

#include "kiosk/desk/desk.h"

/* A counter with callers who take a bottle out and bring it back, each his own, through the real writer and desk. */

enum { COUNTER_CALLERS = 32 };

struct counter_room;

/* `storekeeper`: the badge of one that the ledger has (big_ledger_storekeeper), "" when it is empty. What the callers
 * handle is entered beside what is there; bottles, so that big_ledger's count of cartridges goes on undisturbed. Aborts
 * with a sentence when something fails. */
struct counter_room *counter_room_create(const char *address, const char *storekeeper);
void counter_room_destroy(struct counter_room *room);

/* Each of `callers` threads does `acts` acts and waits for each answer. */
void counter_room_run(struct counter_room *room, int callers, int acts);
/* CPU of the writer's thread since it started, in seconds; as the thread itself sees it, in an act. */
double counter_room_writer_cpu(struct counter_room *room);
struct writer_counts counter_room_counts(struct counter_room *room);

#endif
