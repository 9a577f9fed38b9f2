#include "kiosk/ledger/ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_field.h"
#include "kiosk/ledger/movement_hash.h"
#include "tests/ledger/ledger_bench.h"

/* Booking and reading movements. */

static void a_booked_movement_has_its_number_who_when_where_and_hash(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    static const uint8_t zeros[HASH_BYTES];
    struct movement movement = ledger_bench_machine_entry("CAPSTAN");
    struct ledger_bench_found found = {.count = 0};
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES], head[HASH_BYTES];
    int64_t seq = 0;
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_book(ledger, &movement, &fault), &fault);
    assert_int_equal(movement.seq, 1);
    assert_string_equal(movement.act, "act-00000001");
    assert_string_equal(movement.kiosk, "TEST");
    assert_string_equal(movement.person, "H0000015");
    assert_int_equal(movement.at.ms, LEDGER_BENCH_NOON_MS);
    assert_int_equal(movement.local_day.number, 20498);
    assert_true(movement.trusted);
    movement_hash(zeros, &movement, hash); /* movement_hash.h: hash(0) = 32 zero bytes */
    assert_memory_equal(movement.hash, hash, HASH_BYTES);
    ledger_bench_must(ledger_head(ledger, &seq, head, &fault), &fault);
    assert_int_equal(seq, 1);
    assert_memory_equal(head, hash, HASH_BYTES);
    ledger_bench_commit(ledger);
    ledger_bench_must(ledger_each(ledger, 0, 10, ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, 1);
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        const struct movement_field *field = &movement_fields[i];
        if (field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL)
            assert_string_equal(movement_field_text(&found.movement[0], field), movement_field_text(&movement, field));
        else
            assert_memory_equal((char *)&found.movement[0] + field->offset, (char *)&movement + field->offset,
                                field->size);
    }
    assert_memory_equal(found.movement[0].hash, hash, HASH_BYTES);
}

static void numbers_are_dense_over_commits_reopening_and_refusals(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct movement unknown;
    struct fault fault = {0};
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must_book_machine(fixture->ledger, "CAPSTAN");
    movement_init(&unknown, MOVEMENT_HOLD);
    memcpy(unknown.unit, "C000001X", sizeof "C000001X");
    memcpy(unknown.word, "damaged", sizeof "damaged");
    assert_false(ledger_book(fixture->ledger, &unknown, &fault)); /* no such unit */
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_int_equal(unknown.seq, 0); /* untouched */
    ledger_bench_must_book_machine(fixture->ledger, "SEXTANT");
    ledger_bench_commit(fixture->ledger);
    ledger_close(fixture->ledger);
    fixture->ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must_book_machine(fixture->ledger, "HALYARD");
    ledger_bench_commit(fixture->ledger);
    struct ledger_bench_found found = {.count = 0};
    ledger_bench_must(ledger_each(fixture->ledger, 0, 10, ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, 3);
    for (int i = 0; i < 3; i++) {
        uint8_t hash[HASH_BYTES];
        static const uint8_t zeros[HASH_BYTES];
        assert_int_equal(found.movement[i].seq, i + 1);
        movement_hash(i ? found.movement[i - 1].hash : zeros, &found.movement[i], hash);
        assert_memory_equal(found.movement[i].hash, hash, HASH_BYTES);
    }
}

static void a_rollback_takes_back_rows_and_numbers(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct machine machine = {.slots = 0};
    bool found = false;
    ledger_bench_begin(ledger);
    ledger_bench_must_book_machine(ledger, "CAPSTAN");
    ledger_rollback(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 0);
    assert_true(machine_load(ledger, "CAPSTAN", &machine, &found, NULL));
    assert_false(found);
    ledger_bench_begin(ledger);
    ledger_bench_must_book_machine(ledger, "SEXTANT");
    ledger_bench_commit(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 1);
}

static void a_savepoint_takes_back_one_act_and_its_numbers(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct machine machine = {.slots = 0};
    struct fault fault = {0};
    bool found = true;
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_savepoint(ledger, &fault), &fault);
    ledger_bench_must_book_machine(ledger, "CAPSTAN");
    ledger_bench_must(ledger_release(ledger, &fault), &fault);
    ledger_bench_must(ledger_savepoint(ledger, &fault), &fault);
    ledger_bench_must_book_machine(ledger, "SEXTANT");
    ledger_bench_must_book_machine(ledger, "HALYARD");
    assert_int_equal(ledger_bench_head_seq(ledger), 3);
    ledger_rollback_to(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 1);
    ledger_bench_must(ledger_savepoint(ledger, &fault), &fault);
    ledger_bench_must_book_machine(ledger, "HALYARD");
    ledger_bench_must(ledger_release(ledger, &fault), &fault);
    ledger_bench_commit(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 2);
    ledger_bench_must(machine_load(ledger, "SEXTANT", &machine, &found, &fault), &fault);
    assert_false(found);
}

static void an_act_that_failed_in_the_database_does_not_spoil_the_next(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct act_row act = {.id = "act-00000001", .kind = "receive", .first_seq = 1, .last_seq = 1};
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_savepoint(ledger, &fault), &fault);
    ledger_bench_must(act_row_store(ledger, &act, "{}", &fault), &fault);
    assert_false(act_row_store(ledger, &act, "{}", &fault));
    assert_int_equal(ledger_trouble(ledger), SQL_CONSTRAINT);
    assert_true(ledger_in_transaction(ledger));
    ledger_rollback_to(ledger);
    ledger_bench_must(ledger_savepoint(ledger, &fault), &fault);
    ledger_bench_must_book_machine(ledger, "CAPSTAN");
    ledger_bench_must(ledger_release(ledger, &fault), &fault);
    ledger_bench_commit(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 1);
}

static void readers_see_only_what_was_committed_and_one_state_at_a_time(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *reader = ledger_fixture_open(fixture, LEDGER_READER);
    struct fault fault = {0};
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must_book_machine(fixture->ledger, "CAPSTAN");
    assert_int_equal(ledger_bench_head_seq(reader), 0);
    ledger_bench_commit(fixture->ledger);
    assert_int_equal(ledger_bench_head_seq(reader), 1);
    ledger_bench_must(ledger_begin(reader, &fault), &fault);
    assert_int_equal(ledger_bench_head_seq(reader), 1);
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must_book_machine(fixture->ledger, "SEXTANT");
    ledger_bench_commit(fixture->ledger);
    assert_int_equal(ledger_bench_head_seq(reader), 1);
    ledger_bench_must(ledger_commit(reader, &fault), &fault);
    assert_int_equal(ledger_bench_head_seq(reader), 2);
    assert_false(ledger_bench_book_machine(reader, "HALYARD", &fault));
    ledger_close(reader);
}

static void a_reader_before_the_first_start_is_told_so(void **state)
{
    struct ledger_fixture *fixture = *state, fresh;
    struct ledger *reader = NULL;
    struct fault fault = {0};
    (void)fixture;
    ledger_fixture_create(&fresh);
    assert_false(ledger_open(fresh.address, LEDGER_READER, &reader, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_null(reader);
    ledger_fixture_destroy(&fresh);
}

static bool book_in_walk(const struct movement *movement, void *context)
{
    struct fault fault = {0};
    (void)movement;
    assert_false(ledger_bench_book_machine(context, "SEXTANT", &fault));
    assert_non_null(strstr(fault.text, "while rows were being read"));
    return true;
}

static void booking_outside_a_transaction_or_inside_a_walk_is_refused(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    assert_false(ledger_bench_book_machine(ledger, "CAPSTAN", &fault));
    assert_non_null(strstr(fault.text, "outside a transaction"));
    ledger_bench_begin(ledger);
    ledger_bench_must_book_machine(ledger, "CAPSTAN");
    ledger_bench_must(ledger_each(ledger, 0, 10, book_in_walk, ledger, &fault), &fault);
    ledger_bench_commit(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 1);
}

static void movements_are_read_in_order_in_pages_up_to_a_limit(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    for (int i = 0; i < 1203; i++)
        ledger_bench_must_book_machine(ledger, i % 2 ? "CAPSTAN" : "SEXTANT");
    ledger_bench_commit(ledger);
    static const struct {
        int64_t after, limit, stop_after, count, first;
    } cases[] = {{0, INT64_MAX, 0, 1203, 1}, {0, 1000, 0, 1000, 1}, {700, 501, 0, 501, 701}, {1200, 10, 0, 3, 1201},
                 {1203, 10, 0, 0, 0},        {0, 0, 0, 0, 0},       {0, 1200, 500, 500, 1},  {0, 1200, 3, 3, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct ledger_bench_found found = {.stop_after = cases[i].stop_after};
        ledger_bench_must(ledger_each(ledger, cases[i].after, cases[i].limit, ledger_bench_keep, &found, &fault),
                          &fault);
        assert_int_equal(found.count, cases[i].count);
        if (found.count > 0)
            assert_int_equal(found.movement[0].seq, cases[i].first);
    }
}

static void a_units_history_holds_what_names_it_first_or_second(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char vat[SERIAL_SIZE], cartridge[SERIAL_SIZE];
    struct movement movement;
    const struct act_row act = {.id = "act-00000001", .first_seq = 1, .last_seq = 5};
    struct ledger_bench_found found = {.count = 0};
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    ledger_bench_enter_item(ledger, "VAT", 'V');
    ledger_bench_enter_item(ledger, "FLINT", 'C');
    ledger_bench_receive(ledger, 'V', "VAT", vat);
    ledger_bench_receive(ledger, 'C', "FLINT", cartridge);
    movement_init(&movement, MOVEMENT_FILL);
    memcpy(movement.unit, vat, SERIAL_SIZE);
    memcpy(movement.other, cartridge, SERIAL_SIZE);
    memcpy(movement.item, "FLINT", sizeof "FLINT");
    movement.amount_ul = 250000;
    ledger_bench_must(ledger_book(ledger, &movement, &fault), &fault);
    ledger_bench_must(act_row_store(ledger, &act, "{}", &fault), &fault);
    ledger_bench_commit(ledger);
    ledger_bench_must(ledger_each_of_unit(ledger, cartridge, 0, ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, 2);
    assert_int_equal(found.movement[0].kind, MOVEMENT_RECEIPT);
    assert_int_equal(found.movement[1].kind, MOVEMENT_FILL);
    found.count = 0;
    ledger_bench_must(ledger_each_of_unit(ledger, vat, found.movement[0].seq - 1, ledger_bench_keep, &found, &fault),
                      &fault);
    assert_int_equal(found.count, 1);
    found.count = 0;
    ledger_bench_must(ledger_each_of_act(ledger, "act-00000001", ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, 5);
    found.count = 0;
    ledger_bench_must(ledger_each_of_act(ledger, "act-00000002", ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, 0);
    bool there = false;
    ledger_bench_must(ledger_last_of_unit(ledger, vat, MOVEMENT_RECEIPT, &movement, &there, &fault), &fault);
    assert_true(there && movement.kind == MOVEMENT_RECEIPT && strcmp(movement.unit, vat) == 0);
    ledger_bench_must(ledger_last_of_unit(ledger, vat, MOVEMENT_CHECK_OUT, &movement, &there, &fault), &fault);
    assert_false(there);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(a_booked_movement_has_its_number_who_when_where_and_hash),
        WITH_LEDGER(numbers_are_dense_over_commits_reopening_and_refusals),
        WITH_LEDGER(a_rollback_takes_back_rows_and_numbers),
        WITH_LEDGER(a_savepoint_takes_back_one_act_and_its_numbers),
        WITH_LEDGER(an_act_that_failed_in_the_database_does_not_spoil_the_next),
        WITH_LEDGER(readers_see_only_what_was_committed_and_one_state_at_a_time),
        WITH_LEDGER(a_reader_before_the_first_start_is_told_so),
        WITH_LEDGER(booking_outside_a_transaction_or_inside_a_walk_is_refused),
        WITH_LEDGER(movements_are_read_in_order_in_pages_up_to_a_limit),
        WITH_LEDGER(a_units_history_holds_what_names_it_first_or_second),
    };
    return cmocka_run_group_tests_name("ledger/ledger", tests, NULL, NULL);
}
