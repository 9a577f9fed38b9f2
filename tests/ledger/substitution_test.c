#include "kiosk/ledger/substitutions.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "tests/ledger/apply_room.h"
#include "tests/ledger/booked_ledger.h"

/* Which revision stands in for which goes through apply, verify, export and import like everything else that is
 * booked. Common practice, no source. */

static char badge[SERIAL_SIZE]; /* of the storekeeper; set before the tests */

enum { TODAY = 20514, UNTIL = 20849 }; /* 2026-03-02, 2027-01-31: GNU date 9.1 */

static struct movement of(enum movement_kind kind, const char *wanted, const char *given, const char *approver)
{
    struct movement m;
    struct builder detail;
    movement_init(&m, kind);
    builder_init(&detail, m.detail, sizeof m.detail);
    builder_addf(&detail, "{\"given\":\"%s\",\"resin\":\"Flint\",\"wanted\":\"%s\"}", given, wanted);
    if (kind == MOVEMENT_SUBSTITUTION_ENTRY) {
        SET(m.unit, approver);
        m.expires = UNTIL;
    }
    return m;
}

/* ---- apply ---- */

static int with_a_person(void **state)
{
    const int made = apply_room_setup(state);
    struct movement m = apply_room_movement(MOVEMENT_PERSON_ENTRY, badge);
    SET(m.word, "storekeeper");
    apply_room_must(*state, &m);
    return made;
}

static const struct substitution *row_of(const struct room *room, const char *wanted, const char *given)
{
    struct substitution like = {.resin = "Flint"};
    SET(like.wanted, wanted);
    SET(like.given, given);
    return memory_store_find(room->memory, MEMORY_SUBSTITUTIONS, &like, NULL);
}

static void it_is_entered_ended_and_entered_again(void **state)
{
    struct room *room = *state;
    struct movement m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", badge);
    apply_room_must(room, &m);
    const struct substitution *row = row_of(room, "2", "3");
    assert_non_null(row);
    assert_string_equal(row->approver, badge);
    assert_int_equal(row->until, UNTIL);
    assert_false(row->ended);
    assert_null(row_of(room, "3", "2"));
    m = of(MOVEMENT_SUBSTITUTION_END, "3", "2", "");
    apply_room_must_refuse(room, &m, "none to end");
    m = of(MOVEMENT_SUBSTITUTION_END, "2", "3", "");
    m.local_day.number = TODAY;
    apply_room_must(room, &m);
    row = row_of(room, "2", "3");
    assert_true(row->ended);
    assert_int_equal(row->until, TODAY);
    apply_room_must_refuse(room, &m, "none to end");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", badge);
    m.expires = UNTIL + 1;
    apply_room_must(room, &m);
    row = row_of(room, "2", "3");
    assert_false(row->ended);
    assert_int_equal(row->until, UNTIL + 1);
}

/* It was over by itself before: that day stays. */
static void what_is_over_keeps_its_day_when_it_is_ended(void **state)
{
    struct room *room = *state;
    struct movement m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", badge);
    apply_room_must(room, &m);
    m = of(MOVEMENT_SUBSTITUTION_END, "2", "3", "");
    m.local_day.number = UNTIL + 10;
    apply_room_must(room, &m);
    assert_int_equal(row_of(room, "2", "3")->until, UNTIL);
}

static void what_says_too_little_is_refused(void **state)
{
    struct room *room = *state;
    struct movement m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "2", badge);
    apply_room_must_refuse(room, &m, "needs nothing to stand in");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", "");
    apply_room_must_refuse(room, &m, "badge of who approved");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", "H9999999");
    apply_room_must_refuse(room, &m, "is not known");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", badge);
    m.expires = MOVEMENT_NULL;
    apply_room_must_refuse(room, &m, "without an end");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "", "3", badge);
    apply_room_must_refuse(room, &m, "the revision wanted");
    m = of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "12345678901234567", badge); /* 17 characters */
    assert_false(apply_room_book(room, &m));
    assert_int_equal(memory_store_count(room->memory, MEMORY_SUBSTITUTIONS), 0);
}

/* ---- the table, verify, export and import ---- */

static void book(struct ledger *ledger, struct movement m)
{
    struct fault fault = {0};
    if (!ledger_book(ledger, &m, &fault))
        fail_msg("%s", fault.text);
}

/* 3 for 2, which counts; 2 for 1, which was ended. */
static void enter_two_and_end_one(const struct ledger_fixture *fixture)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    struct movement person;
    assert_true(ledger_begin(ledger, NULL));
    ledger_fixture_book_as(ledger, "act-00000001", "H0000014", INT64_C(1772442000000)); /* 2026-03-02 */
    movement_init(&person, MOVEMENT_PERSON_ENTRY);
    SET(person.unit, badge);
    SET(person.word, "storekeeper");
    book(ledger, person);
    book(ledger, of(MOVEMENT_SUBSTITUTION_ENTRY, "2", "3", badge));
    book(ledger, of(MOVEMENT_SUBSTITUTION_ENTRY, "1", "2", badge));
    book(ledger, of(MOVEMENT_SUBSTITUTION_END, "1", "2", ""));
    assert_true(ledger_commit(ledger, NULL));
    ledger_close(ledger);
}

static void assert_clean(const struct ledger_fixture *fixture, bool expected, const char *says)
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean = !expected;
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (clean != expected || !strstr(report.sentence, says))
        fail_msg("%s", report.sentence);
}

static bool note(const struct substitution *row, void *context)
{
    builder_addf(context, "%s:%s<-%s:%lld:%d ", row->resin, row->wanted, row->given, (long long)row->until, row->ended);
    return true;
}

static void they_leave_and_come_back_byte_for_byte(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    size_t length = 0, again_length = 0;
    int64_t movements = 0;
    char rows[120];
    struct builder list;
    enter_two_and_end_one(fixture);
    assert_clean(fixture, true, "");
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    FILE *in = fmemopen(text, length, "r");
    assert_non_null(in);
    if (!ledger_import(other.address, in, &movements, &fault))
        fail_msg("%s", fault.text);
    (void)fclose(in);
    assert_clean(&other, true, "");
    char *again = booked_ledger_export(other.address, &again_length);
    assert_int_equal(again_length, length);
    assert_memory_equal(again, text, length);
    struct ledger *ledger = ledger_fixture_open(&other, LEDGER_READER);
    builder_init(&list, rows, sizeof rows);
    assert_true(substitution_each(ledger, note, &list, NULL));
    assert_string_equal(rows, "Flint:1<-2:20514:1 Flint:2<-3:20849:0 ");
    ledger_close(ledger);
    ledger_fixture_destroy(&other);
    free(again);
    free(text);
}

static void a_changed_row_is_named(void **state)
{
    const struct ledger_fixture *fixture = *state;
    enter_two_and_end_one(fixture);
    booked_ledger_tamper(fixture, "UPDATE substitution SET until_day = 30000 WHERE given = '3'");
    assert_clean(fixture, false, "substitution Flint 2 3: until is '30000' in the table");
    booked_ledger_tamper(fixture, "UPDATE substitution SET until_day = 20849 WHERE given = '3'");
    booked_ledger_tamper(fixture, "UPDATE substitution SET ended = 0 WHERE given = '2'");
    assert_clean(fixture, false, "substitution Flint 1 2: ended is 'no' in the table");
    booked_ledger_tamper(fixture, "DELETE FROM substitution WHERE given = '2'");
    assert_clean(fixture, false, "substitution Flint 1 2: its movements make it, but it is not in the table");
    booked_ledger_tamper(fixture, "INSERT INTO substitution (resin, wanted, given, approver, until_day, ended, version)"
                                  " VALUES ('Oak', '1', '2', 'H', 30000, 0, 2)");
    assert_clean(fixture, false, "no movement made it");
}

#define IN_ROOM(test)   cmocka_unit_test_setup_teardown(test, with_a_person, apply_room_teardown)
#define IN_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    assert_true(serial_write('H', 1, badge) || serial_write('H', 3, badge)); /* not every number has a serial */
    const struct CMUnitTest tests[] = {
        IN_ROOM(it_is_entered_ended_and_entered_again),
        IN_ROOM(what_is_over_keeps_its_day_when_it_is_ended),
        IN_ROOM(what_says_too_little_is_refused),
        IN_LEDGER(they_leave_and_come_back_byte_for_byte),
        IN_LEDGER(a_changed_row_is_named),
    };
    return cmocka_run_group_tests_name("ledger/substitution", tests, NULL, NULL);
}
