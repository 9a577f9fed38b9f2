#ifndef TESTS_BENCH_BIG_LEDGER_H
#define TESTS_BENCH_BIG_LEDGER_H

#include "kiosk/ledger/ledger.h"

/* A print room's ledger after years, booked through the ledger's own door (ledger_book, apply, hashes), not through the
 * desk: 300 items, 2 000 places, 20 printers, 40 people; each unit is received, labelled, put away, taken out and
 * brought back six times and is gone at last, 20 movements in all (21 with its share of deliveries). The lives of
 * BIG_ALIVE units overlap, so that neighbouring movements touch rows far apart, as in a room. Every act has its row;
 * answers as the writer would have kept them. Deterministic. */

enum { BIG_ALIVE = 50000, BIG_ITEMS = 300, BIG_PLACES = 2000, BIG_PRINTERS = 20, BIG_PEOPLE = 40, BIG_LOT_UNITS = 20 };

struct big_ledger;

/* `ledger` is an open writer's, empty or grown by this before; borrowed. */
struct big_ledger *big_ledger_create(struct ledger *ledger);
void big_ledger_destroy(struct big_ledger *big);
/* Goes on until this many units were received in all. Aborts with a sentence when something fails. */
void big_ledger_grow(struct big_ledger *big, int64_t units);
/* Serial of a unit that stands on a shelf now, by a number from 0. */
const char *big_ledger_unit(const struct big_ledger *big, int64_t which);
/* A badge that every such ledger has. */
void big_ledger_storekeeper(char serial[SERIAL_SIZE]);

#endif
