#include "kiosk/web/readers.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/web/web_fixture.h"

static struct web_fixture fixture; /* one ledger for all tests of this program */

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_open(&fixture);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static int64_t head_of(struct ledger *ledger)
{
    uint8_t hash[HASH_BYTES];
    struct fault fault = {0};
    int64_t head = -1;
    if (!ledger_head(ledger, &head, hash, &fault))
        fail_msg("%s", fault.text);
    return head;
}

static void one_more_than_there_are_is_busy_until_one_is_given_back(void **state)
{
    struct readers *readers = readers_create(fixture.ledger.address);
    struct ledger *taken[READERS], *more = NULL;
    struct fault fault = {0};
    (void)state;
    assert_non_null(readers);
    for (int i = 0; i < READERS; i++)
        assert_true(readers_take(readers, &taken[i], &fault));
    assert_false(readers_take(readers, &more, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_null(more);
    readers_give(readers, taken[0], false);
    assert_true(readers_take(readers, &more, &fault));
    readers_give(readers, more, true); /* broken: closed, and its place is free again */
    assert_true(readers_take(readers, &more, &fault));
    readers_give(readers, more, false);
    for (int i = 1; i < READERS; i++)
        readers_give(readers, taken[i], false);
    readers_destroy(readers);
}

static void what_one_taker_sees_is_of_one_moment_and_the_next_sees_what_is_new(void **state)
{
    struct readers *readers = readers_create(fixture.ledger.address);
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    (void)state;
    assert_true(readers_take(readers, &ledger, &fault));
    const int64_t before = head_of(ledger);
    web_fixture_mark(&fixture, 1);
    assert_int_equal(head_of(ledger), before);
    readers_give(readers, ledger, false);
    assert_true(readers_take(readers, &ledger, &fault));
    assert_int_equal(head_of(ledger), before + 1);
    readers_give(readers, ledger, false);
    readers_destroy(readers);
}

static void a_ledger_that_is_not_there_is_a_fault_each_time_and_uses_nothing_up(void **state)
{
    struct readers *readers = readers_create("sqlite:/nonexistent/ledger.sqlite");
    struct ledger *ledger = NULL;
    (void)state;
    for (int i = 0; i < 3 * READERS; i++) {
        struct fault fault = {0};
        assert_false(readers_take(readers, &ledger, &fault));
        assert_int_not_equal(fault.code, FAULT_BUSY);
    }
    readers_destroy(readers);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_more_than_there_are_is_busy_until_one_is_given_back),
        cmocka_unit_test(what_one_taker_sees_is_of_one_moment_and_the_next_sees_what_is_new),
        cmocka_unit_test(a_ledger_that_is_not_there_is_a_fault_each_time_and_uses_nothing_up),
    };
    return cmocka_run_group_tests_name("web/readers", tests, open_fixture, close_fixture);
}
