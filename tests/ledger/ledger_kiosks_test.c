#include "kiosk/ledger/ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kiosk/basics/thread.h"
#include "kiosk/ledger/movement_hash.h"
#include "tests/ledger/ledger_bench.h"

/* Several kiosks on one PostgreSQL database. */

enum { KIOSKS = 3, ACTS = 25 };

static void work_at_a_counter(void *context)
{
    struct ledger *ledger = context;
    for (int i = 0; i < ACTS; i++) {
        struct movement movement = ledger_bench_machine_entry("CAPSTAN");
        if (!ledger_begin(ledger, NULL))
            return;
        ledger_fixture_book_as(ledger, "act-00000001", "H0000015", LEDGER_BENCH_NOON_MS);
        if (!ledger_book(ledger, &movement, NULL) || !ledger_commit(ledger, NULL))
            return;
    }
}

static void several_kiosks_make_one_dense_chain(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *ledgers[KIOSKS];
    struct thread *threads[KIOSKS];
    struct ledger_bench_found found = {.count = 0};
    struct fault fault = {0};
    for (int i = 0; i < KIOSKS; i++)
        ledgers[i] = ledger_fixture_open(fixture, LEDGER_WRITER);
    for (int i = 0; i < KIOSKS; i++)
        ledger_bench_must(thread_start("kiosk", work_at_a_counter, ledgers[i], &threads[i], &fault), &fault);
    for (int i = 0; i < KIOSKS; i++)
        thread_join(threads[i]);
    assert_int_equal(ledger_bench_head_seq(fixture->ledger), KIOSKS * ACTS);
    ledger_bench_must(ledger_each(fixture->ledger, 0, INT64_MAX, ledger_bench_keep, &found, &fault), &fault);
    assert_int_equal(found.count, KIOSKS * ACTS);
    for (int i = 1; i < 8; i++) {
        uint8_t hash[HASH_BYTES];
        movement_hash(found.movement[i - 1].hash, &found.movement[i], hash);
        assert_memory_equal(found.movement[i].hash, hash, HASH_BYTES);
    }
    for (int i = 0; i < KIOSKS; i++)
        ledger_close(ledgers[i]);
}

static void a_kiosk_that_holds_the_head_keeps_the_others_waiting_not_for_ever(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *other = ledger_fixture_open(fixture, LEDGER_WRITER);
    struct fault fault = {0};
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must(sql_exec(ledger_sql(other), "SET lock_timeout = '50ms'", &fault), &fault);
    assert_false(ledger_begin(other, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_int_equal(ledger_trouble(other), SQL_BUSY);
    assert_false(ledger_in_transaction(other));
    ledger_bench_commit(fixture->ledger);
    ledger_bench_must(ledger_begin(other, &fault), &fault);
    ledger_close(other);
}

struct starting_kiosk {
    const struct ledger_fixture *fixture;
    struct ledger *ledger;
    struct fault fault;
};

static void start_kiosk(void *context)
{
    struct starting_kiosk *kiosk = context;
    (void)ledger_open(kiosk->fixture->address, LEDGER_WRITER, &kiosk->ledger, &kiosk->fault);
}

static void kiosks_that_start_together_make_the_tables_once(void **state)
{
    (void)state;
    for (int round = 0; round < 3; round++) {
        struct ledger_fixture fresh;
        ledger_fixture_create(&fresh);
        struct starting_kiosk kiosks[KIOSKS] = {{NULL}};
        struct thread *threads[KIOSKS] = {NULL};
        for (int i = 0; i < KIOSKS; i++) {
            kiosks[i].fixture = &fresh;
            assert_true(thread_start("kiosk", start_kiosk, &kiosks[i], &threads[i], NULL));
        }
        for (int i = 0; i < KIOSKS; i++)
            thread_join(threads[i]);
        for (int i = 0; i < KIOSKS; i++) {
            ledger_bench_must(kiosks[i].ledger != NULL, &kiosks[i].fault);
            assert_int_equal(ledger_bench_head_seq(kiosks[i].ledger), 0);
            ledger_close(kiosks[i].ledger);
        }
        ledger_fixture_destroy(&fresh);
    }
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(several_kiosks_make_one_dense_chain),
        WITH_LEDGER(a_kiosk_that_holds_the_head_keeps_the_others_waiting_not_for_ever),
        WITH_LEDGER(kiosks_that_start_together_make_the_tables_once),
    };
    return cmocka_run_group_tests_name("ledger/ledger_kiosks", tests, NULL, NULL);
}
