#ifndef TESTS_DESK_ROOM_H
#define TESTS_DESK_ROOM_H

#include <jansson.h>

#include "kiosk/desk/desk.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/unit.h"
#include "tests/support/ledger_fixture.h"

/* A small print room run through the real writer, on the engine that AMBERSHELF_TEST_ENGINE names, with a clock that
 * stands still until driven. Invented; item numbers from the range GS1 keeps for examples (950…).
 *
 *     cmocka_unit_test_setup_teardown(does_this, room_setup, room_teardown)
 *     … cmocka_run_group_tests_name("desk/…", tests, room_group_setup, room_group_teardown)
 *     static void does_this(void **state) { struct room *room = *state; … }
 *
 * The teardown stops the writer and verifies the ledger: a test whose ledger is not clean fails.
 *
 * Today is Monday 2026-03-02, 09:00 UTC. Printers CAPSTAN (1 slot), SEXTANT (2), HALYARD (1). Shelves A01, A02, B01;
 * the counter DESK; the slot CAPSTAN-1. Items FLINT (revision 2), FLINT3 (revision 3), OAK, CHALK (fits SEXTANT
 * HALYARD), VAT-S (fits CAPSTAN HALYARD), VAT-L (fits SEXTANT). */

struct room {
    struct ledger_fixture place;
    struct clock *clock;
    struct feed *feed;
    struct desk desk;
    struct writer *writer;
    struct ledger *reader;
    int acts;
    char counter[COUNTER_SIZE]; /* where the next scan happens: "front" */
    char person[SERIAL_SIZE];   /* of acts that are no scans: the storekeeper */
    char approver[SERIAL_SIZE]; /* whose PIN was right: the storekeeper's, "" nobody's */
    char aside[ACT_ASIDE_SIZE]; /* of the next acts, "" */
    json_t *view;               /* the last answer; owned */
    char act[ACT_ID_SIZE];      /* of the last act */

    char maren[SERIAL_SIZE], tobias[SERIAL_SIZE],
        jarl[SERIAL_SIZE]; /* storekeeper, technician, technician; trained for all */
    /* proved and on shelf A01 (vats B01) */
    char flint[SERIAL_SIZE], flint_more[SERIAL_SIZE]; /* lot FL-1, good for 240 days, 1000 ml */
    char flint_old[SERIAL_SIZE];                      /* was yesterday */
    char flint3[SERIAL_SIZE];                         /* revision 3 */
    char oak[SERIAL_SIZE], chalk[SERIAL_SIZE];
    char vat_flint[SERIAL_SIZE], vat_oak[SERIAL_SIZE]; /* small, 10 hours on them, 400 ml */
    char vat_empty[SERIAL_SIZE], vat_large[SERIAL_SIZE];
    char vat_fogged[SERIAL_SIZE]; /* small, Flint */
};

/* Fills the room once for a program; each test gets a copy. */
int room_group_setup(void **state);
int room_group_teardown(void **state);
int room_setup(void **state);
int room_setup_empty(void **state); /* nothing entered yet */
int room_setup_demo(void **state);  /* an empty demo ledger */
int room_teardown(void **state);

/* Another run of the daemon: the writer is stopped and started, the desk gets a new run. */
void room_restart(struct room *room);
void room_pass(struct room *room, int64_t seconds);
void room_distrust_clock(struct room *room);

/* Runs an act; `content` is taken over. A fault fails the test. The answer is room->view, borrowed. */
json_t *room_act(struct room *room, const char *kind, json_t *content);
/* The same, of which it is not known whether it may: false with its fault, and room->view as before. */
bool room_try(struct room *room, const char *kind, json_t *content, struct fault *fault);
/* The same, expected to fail with a sentence that holds `says`; and nothing was booked. */
void room_refuses(struct room *room, const char *kind, json_t *content, enum fault_code code, const char *says);
/* The first storekeeper of an empty room, as with the right code. */
void room_enrol(struct room *room, const char *name, char serial[SERIAL_SIZE]);
json_t *room_scan(struct room *room, const char *text); /* typed */
/* The printer that closes a group; when all that is asked is what the job needs, the answer is that nobody knows. */
json_t *room_scan_printer(struct room *room, const char *code);
json_t *room_scan_bytes(struct room *room, const char *bytes, size_t length, const char *symbology); /* scanner */
json_t *room_scan_picture(struct room *room, const char *text);
json_t *room_press(struct room *room, const char *word);
/* Tobias brings a vat back and says its hours; then he presses `word` before he said all: what comes back is booked
 * first, with its hours. */
void room_expect_check_in_first(struct room *room, const char *word);
json_t *room_press_quantity(struct room *room, const char *word, int64_t quantity);

/* A delivery, opened by the storekeeper at the counter; and the badge of the storekeeper. */
void room_open_delivery(struct room *room);
/* Takes one unit on, proved; its serial. `more` (may be NULL) is taken over. */
void room_take_on(struct room *room, const char *item, json_t *more, char serial[SERIAL_SIZE]);

/* What the last view says. */
void room_expect(struct room *room, const char *verdict, const char *step,
                 const char *title_holds); /* verdict NULL: none */
void room_expect_reason(struct room *room, const char *code, const char *sentence_holds);
void room_expect_no_reason(struct room *room, const char *code);
void room_expect_key(struct room *room, const char *word, bool there);
void room_expect_booked(struct room *room, bool booked);
void room_expect_undo(struct room *room, const char *sentence_holds); /* NULL: there is nothing to undo */

/* What the ledger says, read by another connection. */
int64_t room_seq(struct room *room);
struct unit room_unit(struct room *room, const char *serial);
void room_expect_content(struct room *room, const char *serial, const char *lots); /* "400000:FLINT:VT-1" */
struct print room_print(struct room *room, const char *unit, const char *place, int64_t number);
int64_t room_movements(struct room *room, enum movement_kind kind);
/* The open question's number, 0 when none is open; `code` NULL: any. */
int64_t room_question(struct room *room, const char *code);
bool room_job(struct room *room, const char *machine, struct job *job); /* running */

/* "YYYY-MM-DD", some days from today; a string of JSON. */
json_t *room_day(struct room *room, int days);
int64_t room_today(struct room *room);
/* GS1's YYMMDD of the same. */
void room_gs1_day(struct room *room, int days, char text[7]);

#endif
