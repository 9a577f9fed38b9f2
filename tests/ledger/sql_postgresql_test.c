#include "kiosk/ledger/sql/sql.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/basics/thread.h"
#include "tests/ledger/sql_bench.h"

/* docs/sql.md: what only PostgreSQL can get wrong. */

static void end_connections(const struct ledger_fixture *fixture)
{
    char text[200];
    (void)snprintf(text, sizeof text,
                   "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE datname = '%s'", fixture->name);
    ledger_fixture_cluster_exec(text);
}

static void a_lost_connection_is_told_and_a_new_one_works(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct fault fault = {0};
    assert_true(sql_begin(sql, NULL));
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    end_connections(*state);
    assert_false(sql_commit(sql, &fault));
    assert_int_equal(sql_trouble(sql), SQL_LOST);
    assert_null(strpbrk(fault.text, "\n\t")); /* one line, whatever libpq says */
    assert_false(sql_in_transaction(sql));
    sql_close(sql);
    sql = sql_bench_open(*state, SQL_WRITER);
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_commit_after_a_failed_statement_is_no_success(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct fault fault = {0};
    assert_true(sql_begin(sql, NULL));
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    assert_false(sql_bench_insert(sql, 1, "y", NULL));
    assert_false(sql_commit(sql, &fault));
    assert_non_null(strstr(fault.text, "rolled back"));
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_serialization_failure_says_try_again(void **state)
{
    /* PostgreSQL manual, 13.2.2: a repeatable-read transaction cannot update a row changed since it began: 40001 */
    struct sql *one = sql_bench_open_with_table(*state), *two = sql_bench_open(*state, SQL_WRITER);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    assert_true(sql_bench_insert(one, 1, "x", NULL));
    sql_bench_must_exec(two, "BEGIN ISOLATION LEVEL REPEATABLE READ");
    assert_int_equal(sql_bench_count(two), 1);
    sql_bench_must_exec(one, "UPDATE thing SET name = 'changed'");
    assert_true(sql_start(two, &sql_bench_rename, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    sql_bind_text(statement, 2, "y");
    assert_false(sql_finish(statement, NULL, &fault));
    assert_int_equal(sql_trouble(two), SQL_RETRY);
    assert_int_equal(fault.code, FAULT_BUSY);
    sql_rollback(two);
    assert_int_equal(sql_trouble(two), SQL_RETRY); /* the rollback does not hide why */
    sql_close(two);
    sql_close(one);
}

struct second_update {
    struct sql *sql;
    bool fine;
    struct fault fault;
};

static void update_one_while_two_is_held(void *context)
{
    struct second_update *update = context;
    update->fine = sql_exec(update->sql, "UPDATE thing SET name = 'b' WHERE id = 1", &update->fault);
}

static void a_deadlock_says_try_again_to_one_of_two(void **state)
{
    /* PostgreSQL manual, 13.3.4: deadlock_detected, 40P01, after deadlock_timeout (here 50 ms) */
    struct sql *one = sql_bench_open_with_table(*state), *two = sql_bench_open(*state, SQL_WRITER);
    struct second_update update = {.sql = two};
    struct thread *thread = NULL;
    assert_true(sql_bench_insert(one, 1, "x", NULL));
    assert_true(sql_bench_insert(one, 2, "x", NULL));
    sql_bench_must_exec(one, "SET deadlock_timeout = '50ms'");
    sql_bench_must_exec(two, "SET deadlock_timeout = '50ms'");
    assert_true(sql_begin(one, NULL));
    sql_bench_must_exec(one, "UPDATE thing SET name = 'a' WHERE id = 1");
    assert_true(sql_begin(two, NULL));
    sql_bench_must_exec(two, "UPDATE thing SET name = 'b' WHERE id = 2");
    assert_true(thread_start("two", update_one_while_two_is_held, &update, &thread, NULL));
    const bool fine = sql_exec(one, "UPDATE thing SET name = 'a' WHERE id = 2", NULL);
    if (!fine)
        sql_rollback(one); /* lets the other go on */
    thread_join(thread);
    assert_true(fine != update.fine);
    assert_int_equal(sql_trouble(fine ? two : one), SQL_RETRY);
    sql_close(two);
    sql_close(one);
}

static void a_held_row_is_busy_after_the_time_limit(void **state)
{
    struct sql *one = sql_bench_open_with_table(*state), *two = sql_bench_open(*state, SQL_WRITER);
    struct fault fault = {0};
    assert_true(sql_bench_insert(one, 1, "x", NULL));
    assert_true(sql_begin(one, NULL));
    sql_bench_must_exec(one, "UPDATE thing SET name = 'a' WHERE id = 1");
    sql_bench_must_exec(two, "SET lock_timeout = '50ms'");
    assert_false(sql_exec(two, "UPDATE thing SET name = 'b' WHERE id = 1", &fault));
    assert_int_equal(sql_trouble(two), SQL_BUSY);
    assert_int_equal(fault.code, FAULT_BUSY);
    sql_close(two);
    sql_close(one);
}

static void an_unreachable_server_is_told_without_a_password(void **state)
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    (void)state;
    assert_false(
        sql_open("postgresql:host=/nowhere/at/all user=kiosk password=hush-hush dbname=x", SQL_WRITER, &sql, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "/nowhere/at/all"));
    assert_null(strstr(fault.text, "hush-hush"));
    assert_false(sql_open("postgresql://kiosk:hush-hush@/x?host=/nowhere/at/all", SQL_READER, &sql, &fault));
    assert_null(strstr(fault.text, "hush-hush"));
    assert_null(sql);
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(a_lost_connection_is_told_and_a_new_one_works),
        WITH_FIXTURE(a_commit_after_a_failed_statement_is_no_success),
        WITH_FIXTURE(a_serialization_failure_says_try_again),
        WITH_FIXTURE(a_deadlock_says_try_again_to_one_of_two),
        WITH_FIXTURE(a_held_row_is_busy_after_the_time_limit),
        WITH_FIXTURE(an_unreachable_server_is_told_without_a_password),
    };
    return cmocka_run_group_tests_name("ledger/sql_postgresql", tests, NULL, NULL);
}
