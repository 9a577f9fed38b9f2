#include "tests/desk/technician.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "tests/support/grown_room.h"
#include "tests/support/ledger_fixture.h"

/* What an act asks of the database must not depend on how much the room ever had. Counted in steps of SQLite's virtual
 * machine, which are the same on every machine and every day: a statement without its index reads the whole table, and
 * that is thousands of them; STEPS_MORE is a row or two. (tests/bench/run BUILD ledger measures the time.) */

enum { FEW = 1000, MANY = 20000, ROUNDS = 6, STEPS_MORE = 20, TODAY = 20500 };

static atomic_llong steps;

static int count_steps(unsigned what, void *context, void *statement, void *nanoseconds)
{
    (void)what, (void)context, (void)nanoseconds;
    atomic_fetch_add(&steps, sqlite3_stmt_status(statement, SQLITE_STMTSTATUS_VM_STEP, 1));
    return 0;
}

/* Of every connection that is opened from now on. */
static int watch(sqlite3 *handle, const char **trouble, const void *routines)
{
    (void)trouble, (void)routines;
    return sqlite3_trace_v2(handle, SQLITE_TRACE_PROFILE, count_steps, NULL);
}

static int64_t read_steps(void *context)
{
    return atomic_load((const atomic_llong *)context);
}

struct grown_rooms {
    struct ledger_fixture few, many;
};

struct cost {
    int64_t steps[TECHNICIAN_ACT_COUNT];
};

static void grow(struct ledger_fixture *place, int64_t units)
{
    ledger_fixture_create(place);
    struct ledger *ledger = ledger_fixture_open(place, LEDGER_WRITER);
    grown_room_fill(ledger, units, (struct day){TODAY});
    ledger_close(ledger);
}

/* The least of some rounds: what the writer does when it is idle may fall into one. */
static struct cost cost_in(const struct ledger_fixture *place, int today)
{
    struct cost least = {{0}};
    struct technician *technician = technician_create(place->address, (struct day){today});
    for (int i = 0; i < ROUNDS; i++) {
        int64_t spent[TECHNICIAN_ACT_COUNT] = {0};
        technician_round(technician, read_steps, &steps, spent);
        for (int act = 0; act < TECHNICIAN_ACT_COUNT; act++)
            if (i == 0 || spent[act] < least.steps[act])
                least.steps[act] = spent[act];
    }
    technician_destroy(technician);
    return least;
}

/* How many acts cost more. */
static int compare(const struct cost *few, const struct cost *many)
{
    int grown = 0;
    for (int act = 0; act < TECHNICIAN_ACT_COUNT; act++) {
        print_message("%-24s %7lld steps, then %7lld\n", technician_act_words((enum technician_act)act),
                      (long long)few->steps[act], (long long)many->steps[act]);
        assert_true(few->steps[act] > 0); /* or nothing is counted */
        grown += many->steps[act] > few->steps[act] + STEPS_MORE;
    }
    return grown;
}

static void drop_index(const struct ledger_fixture *place, const char *text)
{
    sqlite3 *handle = NULL;
    assert_int_equal(sqlite3_open(place->path, &handle), SQLITE_OK);
    assert_int_equal(sqlite3_exec(handle, text, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(handle), SQLITE_OK);
}

static void an_act_asks_no_more_of_a_room_that_had_twenty_times_as_much(void **state)
{
    const struct grown_rooms *rooms = *state;
    const struct cost few = cost_in(&rooms->few, TODAY), many = cost_in(&rooms->many, TODAY);
    assert_int_equal(compare(&few, &many), 0);
}

/* So that the test above is known to see it: whoever takes out what is in a printer asks by this index. */
static void an_index_that_is_missing_is_seen(void **state)
{
    const struct grown_rooms *rooms = *state;
    drop_index(&rooms->few, "DROP INDEX unit_by_printer");
    drop_index(&rooms->many, "DROP INDEX unit_by_printer");
    const struct cost few = cost_in(&rooms->few, TODAY + 1), many = cost_in(&rooms->many, TODAY + 1);
    assert_true(compare(&few, &many) > 0);
    assert_true(many.steps[TECHNICIAN_CHECK_OUT] > few.steps[TECHNICIAN_CHECK_OUT] + MANY - FEW);
}

static int grow_rooms(void **state)
{
    static struct grown_rooms rooms;
    grow(&rooms.few, FEW);
    grow(&rooms.many, MANY);
    *state = &rooms;
    return 0;
}

static int destroy_rooms(void **state)
{
    struct grown_rooms *rooms = *state;
    ledger_fixture_destroy(&rooms->few);
    ledger_fixture_destroy(&rooms->many);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_act_asks_no_more_of_a_room_that_had_twenty_times_as_much),
        cmocka_unit_test(an_index_that_is_missing_is_seen),
    };
    (void)sqlite3_auto_extension((void (*)(void))watch);
    return cmocka_run_group_tests_name("desk/act_growth", tests, grow_rooms, destroy_rooms);
}
