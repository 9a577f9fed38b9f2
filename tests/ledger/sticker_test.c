#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/booked_ledger.h"

/* What a supplier's stickers look like goes through verify, export and import like everything else that is booked. */

#define SET(field, text) assert_true(span_copy(span_of(text), field, sizeof(field)))

static const char detail[] =
    "{\"example\":\"L1\\u001DX\",\"pattern\":\"lot 2 of 9 A\\ntext \\\"\\\\x1DX\\\"\",\"supplier\":\"N\xC3\xB6rd\"}";

static void book(struct ledger *ledger, enum movement_kind kind, const char *id)
{
    struct movement m;
    struct fault fault = {0};
    movement_init(&m, kind);
    SET(m.word, id);
    SET(m.detail, kind == MOVEMENT_STICKER_ENTRY ? detail : "");
    if (!ledger_book(ledger, &m, &fault))
        fail_msg("%s", fault.text);
}

static void teach_two_and_forget_one(const struct ledger_fixture *fixture)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(ledger_begin(ledger, NULL));
    ledger_fixture_book_as(ledger, "act-00000001", "H0000014", INT64_C(1771061400000));
    book(ledger, MOVEMENT_STICKER_ENTRY, "sticker-1");
    book(ledger, MOVEMENT_STICKER_ENTRY, "sticker-2");
    book(ledger, MOVEMENT_STICKER_FORGET, "sticker-2");
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

static void patterns_leave_and_come_back_byte_for_byte(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    struct sticker row;
    size_t length = 0, again_length = 0;
    int64_t movements = 0;
    bool found = false;
    teach_two_and_forget_one(fixture);
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
    assert_true(sticker_load(ledger, "sticker-1", &row, &found, NULL) && found && !row.forgotten);
    assert_string_equal(row.pattern, "lot 2 of 9 A\ntext \"\\x1DX\"");
    assert_string_equal(row.example, "L1\x1DX");
    assert_string_equal(row.supplier, "N\xC3\xB6rd");
    assert_true(sticker_load(ledger, "sticker-2", &row, &found, NULL) && found && row.forgotten);
    ledger_close(ledger);
    ledger_fixture_destroy(&other);
    free(again);
    free(text);
}

static void a_changed_pattern_is_named(void **state)
{
    const struct ledger_fixture *fixture = *state;
    teach_two_and_forget_one(fixture);
    booked_ledger_tamper(fixture, "UPDATE sticker SET forgotten = 0 WHERE id = 'sticker-2'");
    assert_clean(fixture, false, "sticker pattern sticker-2: forgotten is 'no' in the table");
    booked_ledger_tamper(fixture, "DELETE FROM sticker WHERE id = 'sticker-2'");
    assert_clean(fixture, false, "sticker pattern sticker-2: its movements make it, but it is not in the table");
}

#define IN_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_LEDGER(patterns_leave_and_come_back_byte_for_byte),
        IN_LEDGER(a_changed_pattern_is_named),
    };
    return cmocka_run_group_tests_name("ledger/sticker", tests, NULL, NULL);
}
