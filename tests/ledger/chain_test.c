#include "kiosk/ledger/chain.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/forged_ledger.h"

static void a_mark_is_read_as_it_was_written_and_as_a_page_shows_it(void **state)
{
    uint8_t hash[HASH_BYTES];
    struct chain_mark mark;
    char text[CHAIN_MARK_SIZE];
    (void)state;
    for (int i = 0; i < HASH_BYTES; i++)
        hash[i] = (uint8_t)(0xF8 + i);
    assert_string_equal(chain_mark_write(123456, hash, text),
                        "123456:F8F9FAFBFCFDFEFF000102030405060708090A0B0C0D0E0F1011121314151617");
    assert_true(chain_mark_read(span_of(text), &mark, NULL));
    assert_int_equal(mark.seq, 123456);
    assert_int_equal(mark.bytes, HASH_BYTES);
    assert_memory_equal(mark.hash, hash, HASH_BYTES);
    assert_true(chain_mark_read(span_of("123456: f8f9fafb fcfdfeff"), &mark, NULL));
    assert_int_equal(mark.bytes, 8);
    assert_memory_equal(mark.hash, hash, 8);
}

static void what_is_no_mark_is_told(void **state)
{
    static const char *const bad[] = {"",
                                      ":",
                                      "12",
                                      "12:",
                                      "12:F8F9FAFBFCFDFE",
                                      "12:F8F9FAFBFCFDFEFF0",
                                      "-1:F8F9FAFBFCFDFEFF",
                                      "x:F8F9FAFBFCFDFEFF",
                                      "12:F8F9FAFBFCFDFEFG",
                                      "12:F8F9FAFBFCFDFEFF000102030405060708090A0B0C0D0E0F101112131415161718",
                                      "F8F9FAFBFCFDFEFF"};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct chain_mark mark = {.seq = 7};
        struct fault fault = {0};
        if (chain_mark_read(span_of(bad[i]), &mark, &fault) || mark.seq != 7 || !strstr(fault.text, "NUMBER:HASH"))
            fail_msg("'%s': %s", bad[i], fault.text);
    }
}

/* Every fork, every length: halving must find what counting finds. */
static void the_last_common_movement_is_found_wherever_two_chains_part(void **state)
{
    const struct ledger_fixture *fixture = *state;
    booked_ledger_make(fixture);
    struct ledger *one = ledger_fixture_open(fixture, LEDGER_READER);
    for (int length = 0; length <= BOOKED_MOVEMENTS; length += 4)
        for (int fork = 0; fork <= length; fork += 3) {
            struct ledger_fixture other;
            int64_t common = -1;
            ledger_fixture_create(&other);
            forged_ledger_make(&other, fixture->address, length, fork);
            struct ledger *two = ledger_fixture_open(&other, LEDGER_READER);
            assert_true(chain_common(one, two, &common, NULL));
            if (common != (fork > 0 ? fork - 1 : length))
                fail_msg("length %d, changed from %d: common %lld", length, fork, (long long)common);
            ledger_close(two);
            ledger_fixture_destroy(&other);
            if (ledger_fixture_is_postgresql() && fork > 0)
                break; /* a database each: one fork a length is enough there */
        }
    ledger_close(one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mark_is_read_as_it_was_written_and_as_a_page_shows_it),
        cmocka_unit_test(what_is_no_mark_is_told),
        cmocka_unit_test_setup_teardown(the_last_common_movement_is_found_wherever_two_chains_part,
                                        ledger_fixture_setup, ledger_fixture_teardown),
    };
    return cmocka_run_group_tests_name("ledger/chain", tests, NULL, NULL);
}
