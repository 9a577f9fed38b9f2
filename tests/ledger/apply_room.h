#ifndef TESTS_LEDGER_APPLY_ROOM_H
#define TESTS_LEDGER_APPLY_ROOM_H

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/memory_store.h"

/* A room in memory for the tests of apply: two items, two places, a printer, a job, a vat and a cartridge in. */

#define APPLY_ROOM_VAT       "V0001236"
#define APPLY_ROOM_CARTRIDGE "C004217T"
#define APPLY_ROOM_PERSON    "H0000010"

struct room {
    struct memory_store *memory;
    struct apply_store store;
    int64_t seq;
    struct fault fault;
};

/* Fills a bounded text; too long fails the test. */
#define SET(field, text) assert_true(span_copy(span_of(text), field, sizeof(field)))

/* Gives the movement its number and instant (1000 ms a number) and applies it. */
bool apply_room_book(struct room *room, struct movement *m);
/* Fails the test unless it is taken. */
void apply_room_must(struct room *room, struct movement *m);
/* Fails the test unless it is refused with these words and no unit was touched. */
void apply_room_must_refuse(struct room *room, struct movement *m, const char *says);
/* By APPLY_ROOM_PERSON. */
struct movement apply_room_movement(enum movement_kind kind, const char *serial);
/* Borrowed until the next movement; fails the test when there is none. */
const struct unit *apply_room_unit(struct room *room, const char *serial);
void apply_room_assert_same(const struct unit *unit, const struct unit *expected);
struct movement apply_room_receipt(const char *serial, const char *item);
/* cmocka: *state is a struct room. */
int apply_room_setup(void **state);
int apply_room_teardown(void **state);

#endif
