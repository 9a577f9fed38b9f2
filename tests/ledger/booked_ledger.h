#ifndef TESTS_LEDGER_BOOKED_LEDGER_H
#define TESTS_LEDGER_BOOKED_LEDGER_H

#include "tests/support/ledger_fixture.h"

/* A small room of our own invention booked into an open writer's ledger, every kind of movement at least once, with a
 * name, a note and two answered acts, in one transaction. */

enum { BOOKED_MOVEMENTS = 54, BOOKED_UNITS = 3, BOOKED_TEXTS = 2, BOOKED_ACTS = 2 };

#define BOOKED_VAT       "V0001236"
#define BOOKED_CARTRIDGE "C004217T"
#define BOOKED_NOTE      "film looks tired near the corner \xC3\xA9"

void booked_ledger_fill(struct ledger *ledger);

/* Opens the fixture's ledger, fills it, closes it. */
void booked_ledger_make(const struct ledger_fixture *fixture);
/* Runs SQL behind the ledger's back: what somebody with the file could do. */
void booked_ledger_tamper(const struct ledger_fixture *fixture, const char *sql);

/* Everything that ledger_export writes, the caller frees it. */
char *booked_ledger_export(const char *address, size_t *length);

#endif
