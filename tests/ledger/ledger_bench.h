#ifndef TESTS_LEDGER_LEDGER_BENCH_H
#define TESTS_LEDGER_LEDGER_BENCH_H

#include "kiosk/ledger/ledger_room.h"
#include "tests/support/ledger_fixture.h"

/* Booking by hand, for the tests of the ledger itself. What returns nothing fails the test when it cannot. */

#define LEDGER_BENCH_NOON_MS INT64_C(1771070400000) /* GNU date 9.1: 2026-02-14T12:00:00Z, day 20498 */

void ledger_bench_must(bool fine, const struct fault *fault);
void ledger_bench_begin(struct ledger *ledger); /* a transaction, whose movements are those of an act at noon */
void ledger_bench_commit(struct ledger *ledger);

struct movement ledger_bench_machine_entry(const char *code); /* a movement that can always be booked */
bool ledger_bench_book_machine(struct ledger *ledger, const char *code, struct fault *fault);
void ledger_bench_must_book_machine(struct ledger *ledger, const char *code);
void ledger_bench_enter_item(struct ledger *ledger, const char *code, char letter);
void ledger_bench_receive(struct ledger *ledger, char letter, const char *item, char serial[SERIAL_SIZE]);

int64_t ledger_bench_head_seq(struct ledger *ledger);

/* A visitor that keeps the first movements; stops after `stop_after` when that is not 0. */
struct ledger_bench_found {
    struct movement movement[8];
    int64_t count, stop_after;
};
bool ledger_bench_keep(const struct movement *movement, void *context);

#endif
