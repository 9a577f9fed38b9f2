#include "kiosk/ledger/sql/sql.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "tests/ledger/sql_bench.h"

/* docs/sql.md: what only SQLite can get wrong. */

static void a_second_writer_is_told_which_process_holds_the_lock(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = sql_bench_open(fixture, SQL_WRITER), *second = NULL;
    struct fault fault = {0};
    char process[40];
    assert_false(sql_open(fixture->address, SQL_WRITER, &second, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    (void)snprintf(process, sizeof process, "(process %ld)", (long)getpid());
    assert_non_null(strstr(fault.text, process));
    assert_null(second);
    char alias[FIXTURE_TEXT_SIZE + 16]; /* another name of the same file shares the lock */
    (void)snprintf(alias, sizeof alias, "%s/alias.db", fixture->folder);
    assert_int_equal(symlink(fixture->path, alias), 0);
    assert_false(sql_open(alias, SQL_WRITER, &second, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    sql_close(sql);
    assert_true(sql_open(alias, SQL_WRITER, &second, NULL));
    sql_close(second);
}

static void a_missing_file_is_not_made_by_a_reader(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = NULL;
    struct fault fault = {0};
    assert_false(sql_open(fixture->address, SQL_READER, &sql, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_non_null(strstr(fault.text, fixture->path));
    assert_int_equal(access(fixture->path, F_OK), -1);
    assert_false(sql_open("sqlite:/nowhere/at/all.db", SQL_WRITER, &sql, &fault));
    assert_non_null(strstr(fault.text, "make the folder"));
    assert_false(sql_open("sqlite:", SQL_WRITER, &sql, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
}

static void a_file_that_is_no_database_is_left_alone(void **state)
{
    const struct ledger_fixture *fixture = *state;
    static const char text[] =
        "Dear storekeeper, this is a letter and certainly not a database at all, not even a bit.";
    char back[sizeof text] = "";
    struct sql *sql = NULL;
    struct fault fault = {0};
    FILE *file = fopen(fixture->path, "we");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, sizeof text, file), sizeof text);
    assert_int_equal(fclose(file), 0);
    for (int mode = SQL_WRITER; mode <= SQL_READER; mode++) {
        assert_false(sql_open(fixture->address, (enum sql_mode)mode, &sql, &fault));
        assert_int_equal(fault.code, FAULT_DAMAGED);
        assert_non_null(strstr(fault.text, "no database"));
    }
    file = fopen(fixture->path, "re");
    assert_non_null(file);
    assert_int_equal(fread(back, 1, sizeof back, file), sizeof text);
    assert_memory_equal(back, text, sizeof text);
    assert_int_equal(fclose(file), 0);
}

static int64_t pragma(struct sql *sql, const struct sql_text *text)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    assert_true(sql_start(sql, text, &statement, NULL));
    assert_true(sql_step(statement, &row, NULL));
    assert_true(row);
    const int64_t value = sql_whole(statement, 0);
    sql_done(statement);
    return value;
}

static void settings_are_what_durability_needs(void **state)
{
    /* SQLite documentation, "PRAGMA statements": synchronous 2 = FULL */
    static const struct sql_text synchronous = {"PRAGMA synchronous", ""},
                                 automatic = {"PRAGMA wal_autocheckpoint", ""}, trusted = {"PRAGMA trusted_schema", ""},
                                 wiped = {"PRAGMA secure_delete", ""};
    struct sql *writer = sql_bench_open_with_table(*state), *reader = sql_bench_open(*state, SQL_READER);
    struct stat file;
    assert_int_equal(pragma(writer, &synchronous), 2);
    assert_int_equal(pragma(writer, &automatic), 0);
    assert_int_equal(pragma(reader, &automatic), 0);
    assert_int_equal(pragma(writer, &trusted), 0);
    assert_int_equal(pragma(writer, &wiped), 1);
    assert_int_equal(stat(((struct ledger_fixture *)*state)->path, &file), 0);
    assert_int_equal(file.st_mode & 07, 0); /* not for everybody: names are in it */
    sql_close(reader);
    sql_close(writer);
}

static off_t size_of(const struct ledger_fixture *fixture, const char *suffix)
{
    char path[FIXTURE_TEXT_SIZE + 8];
    struct stat file;
    (void)snprintf(path, sizeof path, "%s%s", fixture->path, suffix);
    return stat(path, &file) == 0 ? file.st_size : -1;
}

static void only_a_checkpoint_moves_the_log_into_the_file(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = sql_bench_open_with_table(fixture);
    const off_t before = size_of(fixture, "");
    for (int i = 1; i <= 3000; i++) { /* 1000 pages would have set off SQLite's own */
        assert_true(
            sql_bench_insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", NULL));
    }
    assert_int_equal(size_of(fixture, ""), before);
    assert_true(sql_log_bytes(sql) > 3000 * 4096);
    struct sql *reader = sql_bench_open(fixture, SQL_READER);
    assert_int_equal(sql_bench_count(reader), 3000);
    sql_close(reader); /* a reader's end is no checkpoint either */
    assert_int_equal(size_of(fixture, ""), before);
    assert_true(sql_checkpoint(sql, false, NULL));
    assert_int_equal(sql_log_bytes(sql), 0);
    assert_true(size_of(fixture, "") > before);
    assert_true(sql_checkpoint(sql, true, NULL));
    assert_int_equal(size_of(fixture, "-wal"), 0);
    sql_close(sql);
}

static void a_full_disk_is_told_and_nothing_is_half_written(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct fault fault = {0};
    /* SQLite documentation, "PRAGMA max_page_count": growing beyond it is SQLITE_FULL */
    sql_bench_must_exec(sql, "PRAGMA max_page_count = 4");
    assert_true(sql_begin(sql, NULL));
    bool full = false;
    for (int i = 1; i <= 1000 && !full; i++)
        full =
            !sql_bench_insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", &fault);
    assert_true(full);
    assert_int_equal(sql_trouble(sql), SQL_FULL);
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "is full: free space"));
    sql_rollback(sql);
    assert_int_equal(sql_bench_count(sql), 0);
    sql_close(sql);
}

static void a_text_without_memory_is_told_and_not_taken_for_an_empty_one(void **state)
{
    struct sql *sql = sql_bench_open_with_table(*state);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    size_t length = 0;
    bool row = false;
    assert_true(sql_bench_insert(sql, 1, "Flint", NULL));
    assert_true(sql_start(sql, &sql_bench_load, &statement, &fault));
    sql_bind_whole(statement, 1, 1);
    assert_true(sql_step(statement, &row, &fault));
    assert_true(row);
    /* SQLite documentation, "Result Values From A Query": NULL also when there is no memory for a text; a number's has
     * to be made. sqlite3_hard_heap_limit64: what would go above it fails */
    (void)sqlite3_hard_heap_limit64(1);
    const char *text = sql_text(statement, 0, &length);
    const bool empty = length == 0 && text[0] == '\0', read = sql_check_read(statement, &fault);
    (void)sqlite3_hard_heap_limit64(0);
    assert_true(empty);
    assert_false(read);
    assert_int_equal(sql_trouble(sql), SQL_MEMORY);
    assert_non_null(strstr(fault.text, "no memory left"));
    assert_false(sql_step(statement, &row, &fault));
    sql_done(statement);
    assert_int_equal(sql_bench_count(sql), 1);
    sql_close(sql);
}

static void a_damaged_file_is_told(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = sql_bench_open_with_table(fixture);
    struct fault fault = {0};
    uint8_t rubbish[8192];
    for (int i = 1; i <= 500; i++)
        assert_true(
            sql_bench_insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", NULL));
    sql_close(sql);
    memset(rubbish, 0xA5, sizeof rubbish);
    const int file = open(fixture->path, O_WRONLY | O_CLOEXEC);
    assert_int_equal(pwrite(file, rubbish, sizeof rubbish, 8192), sizeof rubbish);
    assert_int_equal(close(file), 0);
    sql = sql_bench_open(fixture, SQL_WRITER);
    struct sql_statement *statement = NULL;
    bool row = true, fine = true;
    assert_true(sql_start(sql, &sql_bench_each, &statement, NULL));
    while (fine && row)
        fine = sql_step(statement, &row, &fault);
    sql_done(statement);
    assert_false(fine);
    assert_int_equal(sql_trouble(sql), SQL_CORRUPT);
    assert_non_null(strstr(fault.text, "newest backup"));
    sql_close(sql);
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(a_second_writer_is_told_which_process_holds_the_lock),
        WITH_FIXTURE(a_missing_file_is_not_made_by_a_reader),
        WITH_FIXTURE(a_file_that_is_no_database_is_left_alone),
        WITH_FIXTURE(settings_are_what_durability_needs),
        WITH_FIXTURE(only_a_checkpoint_moves_the_log_into_the_file),
        WITH_FIXTURE(a_full_disk_is_told_and_nothing_is_half_written),
        WITH_FIXTURE(a_text_without_memory_is_told_and_not_taken_for_an_empty_one),
        WITH_FIXTURE(a_damaged_file_is_told),
    };
    return cmocka_run_group_tests_name("ledger/sql_sqlite", tests, NULL, NULL);
}
