#ifndef TESTS_BENCH_COUNTER_ROOM_H
#define TESTS_BENCH_COUNTER_ROOM_H

#include "kiosk/desk/desk.h"

/* A counter with callers who take a cartridge out and bring it back, each his own, through the real writer and desk. */

enum { COUNTER_CALLERS = 32 };

struct counter_room;

/* A ledger that is empty, or one of big_ledger.h: then `unit` and so on are new ones beside those. Aborts with a
 * sentence when something fails. */
struct counter_room *counter_room_create(const char *address);
void counter_room_destroy(struct counter_room *room);

/* Each of `callers` threads does `acts` acts and waits for each answer. */
void counter_room_run(struct counter_room *room, int callers, int acts);
/* CPU of the writer's thread since it started, in seconds; as the thread itself sees it, in an act. */
double counter_room_writer_cpu(struct counter_room *room);
struct writer_counts counter_room_counts(struct counter_room *room);

#endif
