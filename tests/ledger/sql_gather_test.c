#include "kiosk/ledger/sql/sql_gather.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/support/ledger_fixture.h"

/* The layer that gathers what is written to the log, under the real SQLite. tests/faults cut its power. */

struct place {
    struct ledger_fixture *fixture;
    struct sql_gather log;
    sqlite3 *handle;
};

static int setup(void **state)
{
    static struct place place;
    void *fixture = NULL;
    if (ledger_fixture_setup(&fixture) != 0)
        return -1;
    place = (struct place){.fixture = fixture};
    *state = &place;
    return 0;
}

static int teardown(void **state)
{
    struct place *place = *state;
    void *fixture = place->fixture;
    (void)sqlite3_close(place->handle);
    sql_gather_remove(&place->log);
    return ledger_fixture_teardown(&fixture);
}

static void run(sqlite3 *handle, const char *text)
{
    if (sqlite3_exec(handle, text, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", text, sqlite3_errmsg(handle));
}

static void open_through_layer(struct place *place)
{
    struct fault fault = {0};
    if (!sql_gather_add(&place->log, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(sqlite3_open_v2(place->fixture->path, &place->handle, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE,
                                     place->log.name),
                     SQLITE_OK);
    run(place->handle, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 0;"
                       "CREATE TABLE t (n INTEGER PRIMARY KEY, b BLOB)");
}

static int64_t ask(sqlite3 *handle, const char *text)
{
    sqlite3_stmt *statement = NULL;
    assert_int_equal(sqlite3_prepare_v2(handle, text, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    const int64_t value = sqlite3_column_int64(statement, 0);
    (void)sqlite3_finalize(statement);
    return value;
}

/* Another program's view: plain SQLite on the same file. */
static int64_t ask_outside(const struct place *place, const char *text)
{
    sqlite3 *other = NULL;
    assert_int_equal(sqlite3_open_v2(place->fixture->path, &other, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    const int64_t value = ask(other, text);
    (void)sqlite3_close(other);
    return value;
}

static void what_is_committed_is_seen_by_others_at_once(void **state)
{
    struct place *place = *state;
    open_through_layer(place);
    for (int i = 1; i <= 50; i++) {
        run(place->handle, "INSERT INTO t (b) VALUES (randomblob(3000))");
        assert_int_equal(ask_outside(place, "SELECT COUNT(*) FROM t"), i);
    }
}

static void a_commit_larger_than_what_is_gathered_is_whole(void **state)
{
    struct place *place = *state;
    open_through_layer(place);
    run(place->handle, "BEGIN; WITH RECURSIVE c (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM c WHERE i < 500)"
                       " INSERT INTO t (b) SELECT zeroblob(4000) FROM c; COMMIT");
    assert_true(ask(place->handle, "SELECT COUNT(*) * 4096 FROM t") > 10 * SQL_GATHER_BYTES);
    assert_int_equal(ask_outside(place, "SELECT SUM(LENGTH(b)) FROM t"), 500 * 4000);
}

/* Pages that do not fit the cache go to the log before the commit and are read back from it. */
static void pages_that_spill_in_mid_transaction_are_read_back(void **state)
{
    struct place *place = *state;
    open_through_layer(place);
    run(place->handle, "PRAGMA cache_size = 10; BEGIN;"
                       "WITH RECURSIVE c (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM c WHERE i < 300)"
                       " INSERT INTO t (b) SELECT CAST(printf('%03000d', i) AS BLOB) FROM c;"
                       "UPDATE t SET b = CAST(printf('%03000d', n * 2) AS BLOB)");
    assert_int_equal(ask(place->handle, "SELECT SUM(CAST(CAST(b AS TEXT) AS INTEGER)) FROM t"), 300 * 301);
    assert_int_equal(ask_outside(place, "SELECT COUNT(*) FROM t"), 0);
    run(place->handle, "ROLLBACK");
    assert_int_equal(ask(place->handle, "SELECT COUNT(*) FROM t"), 0);
    run(place->handle, "INSERT INTO t (b) VALUES (x'01')");
    assert_int_equal(ask_outside(place, "SELECT COUNT(*) FROM t"), 1);
}

static void a_checkpoint_moves_all_of_it_and_the_log_is_used_again(void **state)
{
    struct place *place = *state;
    open_through_layer(place);
    for (int round = 1; round <= 5; round++) {
        run(place->handle, "INSERT INTO t (b) VALUES (randomblob(100000))");
        assert_int_equal(sqlite3_wal_checkpoint_v2(place->handle, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL),
                         SQLITE_OK);
        assert_int_equal(ask_outside(place, "SELECT COUNT(*) FROM t"), round);
    }
    assert_int_equal(ask(place->handle, "SELECT COUNT(*) FROM pragma_integrity_check WHERE integrity_check = 'ok'"), 1);
    (void)sqlite3_close(place->handle);
    place->handle = NULL;
    assert_int_equal(ask_outside(place, "SELECT COUNT(*) FROM t"), 5);
}

static void two_connections_have_a_layer_each(void **state)
{
    struct place *place = *state;
    struct sql_gather other = {.name = ""};
    open_through_layer(place);
    assert_true(sql_gather_add(&other, NULL));
    assert_string_not_equal(other.name, place->log.name);
    sql_gather_remove(&other);
    run(place->handle, "INSERT INTO t (b) VALUES (x'00')");
    assert_null(sqlite3_vfs_find(other.name));
    assert_ptr_not_equal(sqlite3_vfs_find(NULL), &place->log.vfs); /* never the one that others get */
}

#define WITH_PLACE(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_PLACE(what_is_committed_is_seen_by_others_at_once),
        WITH_PLACE(a_commit_larger_than_what_is_gathered_is_whole),
        WITH_PLACE(pages_that_spill_in_mid_transaction_are_read_back),
        WITH_PLACE(a_checkpoint_moves_all_of_it_and_the_log_is_used_again),
        WITH_PLACE(two_connections_have_a_layer_each),
    };
    if (ledger_fixture_is_postgresql())
        return 77; /* there is no log of ours */
    return cmocka_run_group_tests(tests, NULL, NULL);
}
