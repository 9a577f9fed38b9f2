#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/memory_store.h"
#include "kiosk/ledger/verify_rows.h"
#include "tests/ledger/booked_ledger.h"

static void verify(const struct ledger_fixture *fixture, struct verify_report *report, bool *clean)
{
    struct fault fault = {0};
    if (!ledger_verify(fixture->address, report, clean, &fault))
        fail_msg("%s", fault.text);
}

static void an_untouched_ledger_agrees(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    uint8_t head[HASH_BYTES];
    int64_t seq = 0;
    bool clean = false;
    booked_ledger_make(fixture);
    verify(fixture, &report, &clean);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, BOOKED_MOVEMENTS);
    assert_int_equal(report.first_bad_seq, 0);
    assert_int_equal(report.rows_different, 0);
    assert_true(report.rows_compared >= 14); /* 2 items, 2 places, printer, person, lot, 3 units, delivery, job, … */
    assert_non_null(strstr(report.sentence, "54 movements, 3 units"));
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_READER);
    assert_true(ledger_head(ledger, &seq, head, NULL));
    assert_memory_equal(head, report.head, HASH_BYTES);
    ledger_close(ledger);
}

static void an_empty_ledger_agrees(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    bool clean = false;
    ledger_close(ledger_fixture_open(fixture, LEDGER_WRITER));
    verify(fixture, &report, &clean);
    assert_true(clean);
    assert_int_equal(report.movements, 0);
}

struct tampering {
    const char *sql, *says;
    int64_t first_bad_seq;
    int64_t rows_different;
};

/* One fresh ledger a tampering, since each must be seen alone. */
static void assert_seen(const struct tampering *tampering)
{
    struct ledger_fixture fixture;
    struct verify_report report;
    bool clean = true;
    ledger_fixture_create(&fixture);
    booked_ledger_make(&fixture);
    booked_ledger_tamper(&fixture, tampering->sql);
    verify(&fixture, &report, &clean);
    if (clean || !strstr(report.sentence, tampering->says) || report.first_bad_seq != tampering->first_bad_seq ||
        report.rows_different != tampering->rows_different)
        fail_msg("%s: bad %lld, %lld differ, '%s'", tampering->sql, (long long)report.first_bad_seq,
                 (long long)report.rows_different, report.sentence);
    ledger_fixture_destroy(&fixture);
}

static void a_changed_chain_is_seen_where_it_was_changed(void **state)
{
    static const struct tampering cases[] = {
        {"UPDATE movement SET amount_ul = 999999 WHERE seq = 9",
         "movement 9: hash does not follow from movement 8: somebody changed this ledger", 9, 0},
        {"UPDATE movement SET at_ms = at_ms + 1 WHERE seq = 1", "movement 1: hash does not follow", 1, 0},
        {"UPDATE movement SET lot = NULL WHERE seq = 9", "movement 9: hash", 9, 0},
        {"UPDATE movement SET person = 'H000003Y' WHERE seq = 54", "movement 54: hash", 54, 0},
        {"DELETE FROM movement WHERE seq = 5", "movement 5 is missing: after 4 comes 6", 5, 0},
        {"DELETE FROM movement WHERE seq = 54", "the head row says 54 movements, but there are 53", 54, 1},
        {"DELETE FROM movement WHERE seq = 54; UPDATE ledger_head SET seq = 53",
         "the head row's hash is not that of movement 53", 53, 1},
    };
    (void)state;
    /* the last is a disposal, which changes a unit */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_seen(&cases[i]);
}

static void a_changed_row_is_named_with_both_values(void **state)
{
    static const struct tampering cases[] = {
        {"UPDATE unit SET place = 'CAP-1' WHERE serial = 'V0001236'",
         "unit V0001236: place is 'CAP-1' in the table, but its movements make it 'A1'", 0, 1},
        {"UPDATE unit SET minutes = NULL WHERE serial = 'V0001236'",
         "unit V0001236: minutes is 'unknown' in the table, but its movements make it '4500'", 0, 1},
        {"UPDATE unit SET status = 'void' WHERE serial = 'C004217T'", "status is 'void'", 0, 1},
        {"UPDATE mix SET lots = '1:FLINT:A 1:FLINT:B'", "mix V0001236: lots is '1:FLINT:A 1:FLINT:B'", 0, 1},
        {"UPDATE unit SET first_filled = 1 WHERE serial = 'V0001236'", "unit V0001236: first_filled", 0, 1},
        {"UPDATE unit SET due = 1 WHERE serial = 'V0001236'", "unit V0001236: due", 0, 1},
        {"UPDATE unit SET reserved = 'KQ-8' WHERE serial = 'V0001236'", "unit V0001236: reserved", 0, 1},
        {"UPDATE job SET outcome = 'done' WHERE id = 'job-2'",
         "job job-2: outcome is 'done' in the table, but its movements make it 'failed'", 0, 1},
        {"UPDATE job SET code = 'KQ-8' WHERE id = 'job-2'", "job job-2: code", 0, 1},
        {"UPDATE job SET used_ul = 1 WHERE id = 'job-2'", "job job-2: used_ul", 0, 1},
        {"UPDATE job SET ticket = NULL, end_ms = 5 WHERE id = 'job-2'", "job job-2: end_ms", 0, 1},
        {"UPDATE lot SET expires = 30000", "lot FLINT RS24117B: expires is '30000'", 0, 1},
        {"UPDATE print SET state = 'failed' WHERE number = 1", "label V0001236 1: state is 'failed'", 0, 1},
        {"UPDATE question SET is_open = 1", "question 25: open is 'yes'", 0, 1},
        {"UPDATE item SET life_minutes = 1 WHERE code = 'BIGVAT'", "item BIGVAT: life_minutes", 0, 1},
        {"UPDATE place SET kind = 'shelf'", "place CAP-1: kind", 0, 1},
        {"UPDATE machine SET slots = 2", "printer CAPSTAN: slots", 0, 1},
        {"UPDATE person SET role = 'auditor'", "role is 'auditor'", 0, 1},
        {"UPDATE person SET text_id = 'AB'", "the digest of its text", 0, 1},
        {"UPDATE delivery SET is_open = 1", "delivery d-1: open", 0, 1},
        {"UPDATE job SET minutes = 1 WHERE id = 'job-1'", "job job-1: minutes is '1'", 0, 1},
        {"UPDATE job SET minutes = 1 WHERE id = 'job-1'; UPDATE machine SET slots = 2", "(and more rows differ)", 0, 2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_seen(&cases[i]);
}

static void a_row_too_many_or_too_few_is_named(void **state)
{
    static const struct tampering cases[] = {
        {"DELETE FROM unit WHERE serial = 'V0001236'",
         "unit V0001236: its movements make it, but it is not in the table", 0, 1},
        {"DELETE FROM question", "question", 0, 2},
        {"INSERT INTO lot (item, lot, expires, version) VALUES ('FLINT', 'NEVER', NULL, 3)",
         "lot FLINT NEVER: it stands in the table, but no movement made it", 0, 1},
        {"UPDATE unit SET serial = 'C9' WHERE serial = 'C004217T'", "unit C9: it stands in the table", 0, 2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_seen(&cases[i]);
}

static void a_changed_name_is_seen_and_an_erased_one_is_fine(void **state)
{
    const struct ledger_fixture *fixture = *state;
    const struct tampering changed = {"UPDATE erasable_text SET value = 'Nils' WHERE value = 'Mara'",
                                      "is not what was booked", 0, 1};
    struct verify_report report;
    bool clean = false;
    assert_seen(&changed);
    booked_ledger_make(fixture);
    booked_ledger_tamper(fixture, "UPDATE erasable_text SET salt = NULL, value = NULL WHERE value = 'Mara'");
    verify(fixture, &report, &clean);
    if (!clean)
        fail_msg("%s", report.sentence);
}

static void a_ledger_that_is_not_there_is_a_fault_and_not_dirty(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report = {.movements = 77};
    struct fault fault = {0};
    bool clean = true;
    assert_false(ledger_verify(fixture->address, &report, &clean, &fault));
    assert_true(fault.text[0] != '\0');
    assert_true(clean);
    assert_int_equal(report.movements, 77);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_untouched_ledger_agrees),
        TEST(an_empty_ledger_agrees),
        TEST(a_changed_chain_is_seen_where_it_was_changed),
        TEST(a_changed_row_is_named_with_both_values),
        TEST(a_row_too_many_or_too_few_is_named),
        TEST(a_changed_name_is_seen_and_an_erased_one_is_fine),
        TEST(a_ledger_that_is_not_there_is_a_fault_and_not_dirty),
    };
    return cmocka_run_group_tests_name("ledger/verify", tests, NULL, NULL);
}
