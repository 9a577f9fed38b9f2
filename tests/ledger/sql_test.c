#include "kiosk/ledger/sql/sql.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/sql_bench.h"

/* docs/sql.md: what both engines must do alike. */

/* out of order and twice: $n must mean the n-th value on both engines */
static const struct sql_text PUT_BACKWARDS = {
    "INSERT INTO thing (name, id, bytes) VALUES ($2, $1, CASE WHEN $1 > 0 THEN $3 ELSE $3 END)", "itb"};

static void values_come_back_as_they_went_in(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    const uint8_t bytes[] = {0, 0xFF, '\'', 0x80, 0};
    const int64_t ids[] = {INT64_MAX, INT64_MIN + 1, 0, -1};
    struct fault fault = {0};
    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        struct sql_statement *statement = NULL;
        size_t length = 0;
        bool row = false;
        assert_true(sql_start(sql, i % 2 ? &PUT_BACKWARDS : &sql_bench_row, &statement, &fault));
        sql_bind_whole(statement, 1, ids[i]);
        sql_bind_text(statement, 2, "o'Grün \"樹脂\" $1 \\ \x1d");
        sql_bind_blob(statement, 3, bytes, i == 2 ? 0 : sizeof bytes);
        if (!sql_finish(statement, NULL, &fault))
            fail_msg("%s", fault.text);
        assert_true(sql_start(sql, &sql_bench_load, &statement, &fault));
        sql_bind_whole(statement, 1, ids[i]);
        assert_true(sql_step(statement, &row, &fault));
        assert_true(row);
        assert_true(sql_whole(statement, 0) == ids[i]);
        assert_string_equal(sql_text(statement, 1, &length), "o'Grün \"樹脂\" $1 \\ \x1d");
        assert_int_equal(length, strlen("o'Grün \"樹脂\" $1 \\ \x1d"));
        const uint8_t *read = sql_blob(statement, 2, &length);
        assert_int_equal(length, i == 2 ? 0 : sizeof bytes);
        assert_memory_equal(read, bytes, length);
        assert_false(sql_is_null(statement, 1));
        assert_true(sql_step(statement, &row, &fault));
        assert_false(row);
        sql_done(statement);
    }
    sql_close(sql);
}

static void null_is_neither_zero_nor_empty(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct sql_statement *statement = NULL;
    size_t length = 7;
    bool row = false;
    assert_true(sql_start(sql, &sql_bench_row, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    sql_bind_null(statement, 2);
    sql_bind_null(statement, 3);
    assert_true(sql_finish(statement, NULL, NULL));
    assert_true(sql_start(sql, &sql_bench_load, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    assert_true(sql_step(statement, &row, NULL));
    assert_true(sql_is_null(statement, 1));
    assert_string_equal(sql_text(statement, 1, &length), "");
    assert_int_equal(length, 0);
    sql_done(statement);
    assert_true(sql_bench_insert(sql, 2, "", NULL));
    assert_true(sql_start(sql, &sql_bench_load, &statement, NULL));
    sql_bind_whole(statement, 1, 2);
    assert_true(sql_step(statement, &row, NULL));
    assert_false(sql_is_null(statement, 1));
    sql_done(statement);
    sql_close(sql);
}

static void order_is_by_bytes_with_nulls_where_stated(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    /* byte order (memcmp); a language's order would put 'a' before 'B' and 'ä' beside 'a' */
    static const char *const expected[] = {"B", "a", "ä", NULL};
    struct sql_statement *statement = NULL;
    bool row = false;
    assert_true(sql_bench_insert(sql, 1, "ä", NULL));
    assert_true(sql_bench_insert(sql, 2, "a", NULL));
    sql_bench_must_exec(sql, "INSERT INTO thing (id) VALUES (3)");
    assert_true(sql_bench_insert(sql, 4, "B", NULL));
    assert_true(sql_start(sql, &sql_bench_each, &statement, NULL));
    for (size_t i = 0; i < sizeof expected / sizeof *expected; i++) {
        size_t length = 0;
        assert_true(sql_step(statement, &row, NULL));
        assert_true(row);
        if (expected[i])
            assert_string_equal(sql_text(statement, 1, &length), expected[i]);
        else
            assert_true(sql_is_null(statement, 1));
    }
    sql_done(statement);
    sql_close(sql);
}

static void text_that_is_not_utf8_is_refused_on_both(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct fault fault = {0};
    assert_false(sql_bench_insert(sql, 1, "ab\xFF", &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(sql_trouble(sql), SQL_INPUT);
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_forgotten_or_wrong_value_is_told_not_guessed(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    assert_true(sql_start(sql, &sql_bench_row, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    sql_bind_text(statement, 2, "x");
    assert_false(sql_finish(statement, NULL, &fault));
    assert_non_null(strstr(fault.text, "not every value"));
    assert_true(sql_start(sql, &sql_bench_row, &statement, NULL));
    sql_bind_text(statement, 1, "1");
    sql_bind_text(statement, 2, "x");
    sql_bind_null(statement, 3);
    assert_false(sql_finish(statement, NULL, &fault));
    assert_non_null(strstr(fault.text, "does not take"));
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_statement_may_be_lent_twice_at_once(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct sql_statement *outer = NULL, *inner = NULL;
    bool row = false;
    int seen = 0;
    for (int i = 1; i <= 3; i++)
        assert_true(sql_bench_insert(sql, i, "x", NULL));
    assert_true(sql_start(sql, &sql_bench_each, &outer, NULL));
    while (sql_step(outer, &row, NULL) && row) {
        bool more = false;
        assert_true(sql_start(sql, &sql_bench_each, &inner, NULL));
        assert_ptr_not_equal(outer, inner);
        assert_int_equal(sql_open_statements(sql), 2);
        while (sql_step(inner, &more, NULL) && more)
            seen++;
        sql_done(inner);
    }
    sql_done(outer);
    assert_int_equal(seen, 9);
    assert_int_equal(sql_open_statements(sql), 0);
    sql_close(sql);
}

static void changes_are_counted(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct sql_statement *statement = NULL;
    int64_t changed = 0;
    for (int i = 1; i <= 5; i++)
        assert_true(sql_bench_insert(sql, i, "x", NULL));
    const int64_t from[] = {3, 100}, expected[] = {3, 0};
    for (int i = 0; i < 2; i++) {
        assert_true(sql_start(sql, &sql_bench_rename, &statement, NULL));
        sql_bind_whole(statement, 1, from[i]);
        sql_bind_text(statement, 2, "y");
        assert_true(sql_finish(statement, &changed, NULL));
        assert_int_equal(changed, expected[i]);
    }
    sql_close(sql);
}

static void a_second_row_of_one_key_is_a_conflict(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct fault fault = {0};
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    assert_false(sql_bench_insert(sql, 1, "y", &fault));
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    assert_int_equal(sql_bench_count(sql), 1);
    sql_close(sql);
}

static void a_savepoint_takes_back_only_what_follows_it(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    assert_true(sql_begin(sql, NULL));
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    assert_true(sql_savepoint(sql, NULL));
    assert_true(sql_bench_insert(sql, 2, "y", NULL));
    assert_false(sql_bench_insert(sql, 2, "again", NULL)); /* PostgreSQL now takes nothing until the rollback */
    assert_true(sql_in_transaction(sql));
    assert_true(sql_rollback_to(sql, NULL));
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    assert_true(sql_savepoint(sql, NULL));
    assert_true(sql_bench_insert(sql, 3, "z", NULL));
    assert_true(sql_release(sql, NULL));
    assert_true(sql_commit(sql, NULL));
    assert_false(sql_in_transaction(sql));
    assert_int_equal(sql_bench_count(sql), 2);
    assert_true(sql_begin(sql, NULL));
    assert_true(sql_bench_insert(sql, 9, "gone", NULL));
    sql_rollback(sql);
    assert_int_equal(sql_bench_count(sql), 2);
    sql_close(sql);
}

static void what_is_written_is_counted_and_a_failed_statement_writes_nothing(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    const int64_t before = sql_rows_written(sql);
    if (ledger_fixture_is_postgresql()) {
        assert_int_equal(before, -1);
        sql_close(sql);
        return;
    }
    assert_true(sql_begin(sql, NULL));
    (void)sql_bench_count(sql);
    assert_int_equal(sql_rows_written(sql), before);
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    assert_int_equal(sql_rows_written(sql), before + 1);
    assert_false(sql_bench_insert(sql, 1, "again", NULL));
    assert_int_equal(sql_rows_written(sql), before + 1);
    sql_rollback(sql);
    assert_int_equal(sql_rows_written(sql), before + 1);
    sql_close(sql);
}

static void closing_rolls_back_what_is_open(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    assert_true(sql_begin(sql, NULL));
    assert_true(sql_bench_insert(sql, 1, "x", NULL));
    sql_close(sql);
    sql = sql_bench_open(*state, SQL_WRITER);
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_reader_cannot_write(void **state)
{
    struct sql *writer = sql_bench_open_with_table(*state), *reader = sql_bench_open(*state, SQL_READER);
    struct fault fault = {0};
    assert_false(sql_bench_insert(reader, 1, "x", &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_int_equal(sql_bench_count(writer), 0);
    sql_close(reader);
    sql_close(writer);
}

static void a_readers_transaction_sees_one_state(void **state)
{
    struct sql *writer = sql_bench_open_with_table(*state), *reader = sql_bench_open(*state, SQL_READER);
    assert_true(sql_bench_insert(writer, 1, "x", NULL));
    assert_true(sql_begin(reader, NULL));
    assert_int_equal(sql_bench_count(reader), 1);
    assert_true(sql_bench_insert(writer, 2, "y", NULL));
    assert_int_equal(sql_bench_count(reader), 1);
    assert_true(sql_commit(reader, NULL));
    assert_int_equal(sql_bench_count(reader), 2);
    sql_close(reader);
    sql_close(writer);
}

static void tables_are_found_by_name(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    bool has = false;
    assert_true(sql_has_table(sql, "thing", &has, NULL));
    assert_true(has);
    assert_true(sql_has_table(sql, "nothing", &has, NULL));
    assert_false(has);
    sql_close(sql);
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(values_come_back_as_they_went_in),
        WITH_FIXTURE(null_is_neither_zero_nor_empty),
        WITH_FIXTURE(order_is_by_bytes_with_nulls_where_stated),
        WITH_FIXTURE(text_that_is_not_utf8_is_refused_on_both),
        WITH_FIXTURE(a_forgotten_or_wrong_value_is_told_not_guessed),
        WITH_FIXTURE(a_statement_may_be_lent_twice_at_once),
        WITH_FIXTURE(changes_are_counted),
        WITH_FIXTURE(a_second_row_of_one_key_is_a_conflict),
        WITH_FIXTURE(a_savepoint_takes_back_only_what_follows_it),
        WITH_FIXTURE(what_is_written_is_counted_and_a_failed_statement_writes_nothing),
        WITH_FIXTURE(closing_rolls_back_what_is_open),
        WITH_FIXTURE(a_reader_cannot_write),
        WITH_FIXTURE(a_readers_transaction_sees_one_state),
        WITH_FIXTURE(tables_are_found_by_name),
    };
    return cmocka_run_group_tests_name("ledger/sql", tests, NULL, NULL);
}
