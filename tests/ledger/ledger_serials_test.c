#include "kiosk/ledger/ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"
#include "tests/ledger/ledger_bench.h"

/* Serials that are handed out once, the demo's and the others; when the log is moved into the file. */

static void serials_count_up_and_skip_look_alikes(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    long before = 0;
    ledger_bench_begin(ledger);
    for (int i = 0; i < 200; i++) {
        char serial[SERIAL_SIZE], letter = '\0';
        long number = 0;
        ledger_bench_must(ledger_next_serial(ledger, 'V', serial, &fault), &fault);
        ledger_bench_must(serial_read(span_of(serial), &letter, &number, &fault), &fault);
        assert_int_equal(letter, 'V');
        assert_null(strpbrk(serial + strlen(serial) - 1, "IO"));
        for (long skipped = before + 1; skipped < number; skipped++) {
            char unwritable[SERIAL_SIZE];
            assert_false(serial_write('V', skipped, unwritable));
        }
        assert_true(number > before);
        before = number;
    }
    char cartridge[SERIAL_SIZE], again[SERIAL_SIZE];
    ledger_bench_must(ledger_next_serial(ledger, 'C', cartridge, &fault), &fault);
    assert_int_equal(strncmp(cartridge, "C00000", 6), 0); /* each letter counts for itself */
    ledger_rollback(ledger);
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_next_serial(ledger, 'C', again, &fault), &fault);
    assert_string_equal(cartridge, again); /* it was never handed out */
    ledger_bench_commit(ledger);
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_next_serial(ledger, 'C', again, &fault), &fault);
    assert_string_not_equal(cartridge, again);
    assert_false(ledger_next_serial(ledger, 'I', again, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_false(ledger_next_serial(ledger, '\0', again, &fault));
    ledger_bench_commit(ledger);
}

static void a_real_ledger_steps_over_the_demos_serials(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    char text[100], serial[SERIAL_SIZE];
    ledger_bench_begin(ledger);
    (void)snprintf(text, sizeof text, "INSERT INTO serial_next (letter, next_number) VALUES ('C', %d)",
                   DEMO_NUMBER_FIRST);
    ledger_bench_must(sql_exec(ledger_sql(ledger), text, &fault), &fault);
    ledger_bench_must(ledger_next_serial(ledger, 'C', serial, &fault), &fault);
    assert_false(serial_is_demo(serial));
    assert_int_equal(strncmp(serial, "C10000", 6), 0); /* seven digits: 1000000 and on */
    (void)snprintf(text, sizeof text, "UPDATE serial_next SET next_number = %d WHERE letter = 'C'", SERIAL_NUMBER_MAX);
    ledger_bench_must(sql_exec(ledger_sql(ledger), text, &fault), &fault);
    if (ledger_next_serial(ledger, 'C', serial, &fault)) /* the last one, unless its check character is I or O */
        assert_false(ledger_next_serial(ledger, 'C', serial, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    ledger_rollback(ledger);
}

static void a_demo_stays_a_demo_and_a_real_ledger_never_becomes_one(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct fault fault = {0};
    char serial[SERIAL_SIZE];
    assert_false(ledger_is_demo(fixture->ledger));
    ledger_bench_must(ledger_set_demo(fixture->ledger, &fault), &fault);
    assert_true(ledger_is_demo(fixture->ledger));
    ledger_bench_begin(fixture->ledger);
    ledger_bench_must(ledger_next_serial(fixture->ledger, 'C', serial, &fault), &fault);
    assert_true(serial_is_demo(serial));
    ledger_bench_must_book_machine(fixture->ledger, "CAPSTAN");
    ledger_bench_commit(fixture->ledger);
    ledger_close(fixture->ledger);
    fixture->ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(ledger_is_demo(fixture->ledger));
    ledger_bench_must(ledger_set_demo(fixture->ledger, &fault), &fault);
    struct ledger_fixture real;
    ledger_fixture_create(&real);
    real.ledger = ledger_fixture_open(&real, LEDGER_WRITER);
    ledger_bench_begin(real.ledger);
    ledger_bench_must_book_machine(real.ledger, "CAPSTAN");
    assert_false(ledger_set_demo(real.ledger, &fault)); /* not committed, and yet not empty */
    ledger_bench_commit(real.ledger);
    assert_false(ledger_set_demo(real.ledger, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_false(ledger_is_demo(real.ledger));
    ledger_fixture_destroy(&real);
}

static void a_checkpoint_waits_for_idleness_or_a_large_log(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    ledger_bench_must_book_machine(ledger, "CAPSTAN");
    ledger_bench_commit(ledger);
    const int64_t log = sql_log_bytes(ledger_sql(ledger));
    assert_int_equal(log > 0, !ledger_fixture_is_postgresql());
    ledger_bench_must(ledger_checkpoint(ledger, false, &fault), &fault);
    assert_int_equal(sql_log_bytes(ledger_sql(ledger)), log);
    ledger_bench_must(ledger_checkpoint(ledger, true, &fault), &fault);
    assert_int_equal(sql_log_bytes(ledger_sql(ledger)), 0);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(serials_count_up_and_skip_look_alikes),
        WITH_LEDGER(a_real_ledger_steps_over_the_demos_serials),
        WITH_LEDGER(a_demo_stays_a_demo_and_a_real_ledger_never_becomes_one),
        WITH_LEDGER(a_checkpoint_waits_for_idleness_or_a_large_log),
    };
    return cmocka_run_group_tests_name("ledger/ledger_serials", tests, NULL, NULL);
}
