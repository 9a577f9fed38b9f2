#include "kiosk/ledger/schema.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/support/ledger_fixture.h"

static struct sql *open_sql(const struct ledger_fixture *fixture, enum sql_mode mode)
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    if (!sql_open(fixture->address, mode, &sql, &fault))
        fail_msg("%s", fault.text);
    return sql;
}

static void a_writer_makes_the_tables_and_finds_them_again(void **state)
{
    static const char *const tables[] = {"schema_version", "ledger_head", "serial_next",   "movement",  "erasable_text",
                                         "item",           "lot",         "place",         "machine",   "person",
                                         "unit",           "delivery",    "job",           "print",     "question",
                                         "session",        "act",         "label_printer", "print_look"};
    struct fault fault = {0};
    struct sql *sql = open_sql(*state, SQL_WRITER);
    for (int i = 0; i < 2; i++)
        if (!schema_prepare(sql, &fault))
            fail_msg("%s", fault.text);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        bool has = false;
        assert_true(sql_has_table(sql, tables[i], &has, NULL));
        if (!has)
            fail_msg("table %s is missing", tables[i]);
    }
    sql_close(sql);
    sql = open_sql(*state, SQL_WRITER);
    assert_true(schema_prepare(sql, NULL));
    sql_close(sql);
}

static void a_reader_of_an_empty_database_says_start_the_kiosk(void **state)
{
    struct fault fault = {0};
    bool has = true;
    struct sql *writer = open_sql(*state, SQL_WRITER), *reader = open_sql(*state, SQL_READER);
    assert_false(schema_prepare(reader, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_non_null(strstr(fault.text, "start the kiosk"));
    assert_true(sql_has_table(writer, "movement", &has, NULL));
    assert_false(has);
    sql_close(reader);
    sql_close(writer);
}

static void a_newer_form_is_refused(void **state)
{
    struct fault fault = {0};
    struct sql *sql = open_sql(*state, SQL_WRITER);
    assert_true(schema_prepare(sql, NULL));
    assert_true(sql_exec(sql, "UPDATE schema_version SET version = 99", NULL));
    assert_false(schema_prepare(sql, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "form 99"));
    assert_non_null(strstr(fault.text, "newer program"));
    sql_close(sql);
}

static void a_failed_step_leaves_nothing_behind(void **state)
{
    struct fault fault = {0};
    bool has = true;
    struct sql *sql = open_sql(*state, SQL_WRITER);
    /* on SQLite any table means another program's file; on PostgreSQL only one whose name is in the way */
    assert_true(sql_exec(sql, "CREATE TABLE movement (number_of_it INTEGER)", NULL));
    assert_false(schema_prepare(sql, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_true(sql_has_table(sql, "schema_version", &has, NULL));
    assert_false(has);
    assert_false(sql_in_transaction(sql));
    sql_close(sql);
}

static void a_second_head_row_cannot_be(void **state)
{
    struct fault fault = {0};
    struct sql *sql = open_sql(*state, SQL_WRITER);
    assert_true(schema_prepare(sql, NULL));
    assert_false(sql_exec(
        sql, "INSERT INTO ledger_head (one, seq, hash, demo) SELECT 2, seq, hash, demo FROM ledger_head", &fault));
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    assert_false(sql_exec(
        sql, "INSERT INTO ledger_head (one, seq, hash, demo) SELECT 1, seq, hash, demo FROM ledger_head", &fault));
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    sql_close(sql);
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(a_writer_makes_the_tables_and_finds_them_again),
        WITH_FIXTURE(a_reader_of_an_empty_database_says_start_the_kiosk),
        WITH_FIXTURE(a_newer_form_is_refused),
        WITH_FIXTURE(a_failed_step_leaves_nothing_behind),
        WITH_FIXTURE(a_second_head_row_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
