#ifndef TESTS_SUPPORT_LEDGER_FIXTURE_H
#define TESTS_SUPPORT_LEDGER_FIXTURE_H

#include <stdbool.h>

#include "kiosk/ledger/ledger.h"

/* A fresh, empty database for every test, on the engine that AMBERSHELF_TEST_ENGINE names: "sqlite" (the default) in a
 * new folder under /dev/shm or /tmp, "postgresql" as a new database in the cluster of AMBERSHELF_TEST_POSTGRESQL
 * (tests/postgresql prints that text). Without a cluster the program ends with 77, "skipped". A trouble with the
 * fixture itself ends the program with a line: nothing would be tested.
 *
 *     cmocka_unit_test_setup_teardown(does_this, ledger_fixture_setup, ledger_fixture_teardown)
 *     static void does_this(void **state) { struct ledger_fixture *fixture = *state; … }
 */

enum { FIXTURE_TEXT_SIZE = 400 };

struct ledger_fixture {
    char address[FIXTURE_TEXT_SIZE]; /* for ledger_open, writer_create, a kiosk's configuration */
    char folder[FIXTURE_TEXT_SIZE];  /* sqlite: the temporary folder; "" otherwise */
    char path[FIXTURE_TEXT_SIZE];    /* sqlite: the file in it; "" otherwise */
    char name[64];                   /* postgresql: the database's name */
    struct ledger *ledger;           /* ledger_fixture_open: a writer's, closed by the teardown */
};

bool ledger_fixture_is_postgresql(void);

int ledger_fixture_setup(void **state);      /* a place for a ledger; nothing is opened */
int ledger_fixture_setup_open(void **state); /* the same, and `ledger` opened as the writer */
int ledger_fixture_teardown(void **state);   /* closes `ledger` if it is open; removes everything */

/* The same by hand, for tests that need two. */
void ledger_fixture_create(struct ledger_fixture *fixture);
void ledger_fixture_destroy(struct ledger_fixture *fixture);
/* The same as one that nobody has open now, made once: quicker than filling each anew. */
void ledger_fixture_copy(struct ledger_fixture *fixture, const struct ledger_fixture *from);

/* Opens; a fault fails the test. */
struct ledger *ledger_fixture_open(const struct ledger_fixture *fixture, enum ledger_mode mode);

/* A booking by this person at this wall instant, clock trusted, kiosk "TEST". */
void ledger_fixture_book_as(struct ledger *ledger, const char *act, const char *person, int64_t wall_ms);

/* postgresql: runs a text on the cluster's own database (ends a connection, …). */
void ledger_fixture_cluster_exec(const char *text);

#endif
