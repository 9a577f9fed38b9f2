#include "kiosk/ledger/sql/sql.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/basics/thread.h"
#include "tests/support/ledger_fixture.h"

/* docs/sql.md: what both engines must do alike. Beside it what only one of them can get wrong. */

static const struct sql_text INSERT = {"INSERT INTO thing (id, name, bytes) VALUES ($1, $2, $3)", "itb"};
/* out of order and twice: $n must mean the n-th value on both engines */
static const struct sql_text PUT_BACKWARDS = {
    "INSERT INTO thing (name, id, bytes) VALUES ($2, $1, CASE WHEN $1 > 0 THEN $3 ELSE $3 END)", "itb"};
static const struct sql_text LOAD = {"SELECT id, name, bytes FROM thing WHERE id = $1", "i"};
static const struct sql_text EACH = {"SELECT id, name FROM thing ORDER BY name NULLS LAST, id", ""};
static const struct sql_text RENAME = {"UPDATE thing SET name = $2 WHERE id >= $1", "it"};
static const struct sql_text COUNT = {"SELECT CAST(COUNT(*) AS BIGINT), CAST(SUM(id) AS BIGINT) FROM thing", ""};

static struct sql *open_sql(const struct ledger_fixture *fixture, enum sql_mode mode)
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    if (!sql_open(fixture->address, mode, &sql, &fault))
        fail_msg("%s", fault.text);
    return sql;
}

static void must_exec(struct sql *sql, const char *text)
{
    struct fault fault = {0};
    if (!sql_exec(sql, text, &fault))
        fail_msg("%s: %s", text, fault.text);
}

static struct sql *open_with_table(const struct ledger_fixture *fixture)
{
    struct sql *sql = open_sql(fixture, SQL_WRITER);
    const struct fault fault = {0};
    char text[200];
    (void)fault;
    (void)snprintf(text, sizeof text, "CREATE TABLE thing (id %s NOT NULL PRIMARY KEY, name %s, bytes %s)",
                   sql_schema_word(sql, "int", 3), sql_schema_word(sql, "text", 4), sql_schema_word(sql, "blob", 4));
    must_exec(sql, text);
    return sql;
}

static bool insert(struct sql *sql, int64_t id, const char *name, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(sql, &INSERT, &statement, fault))
        return false;
    sql_bind_whole(statement, 1, id);
    sql_bind_text(statement, 2, name);
    sql_bind_null(statement, 3);
    return sql_finish(statement, NULL, fault);
}

static int64_t count(struct sql *sql)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    struct fault fault = {0};
    if (!sql_start(sql, &COUNT, &statement, &fault) || !sql_step(statement, &row, &fault))
        fail_msg("%s", fault.text);
    const int64_t number = sql_whole(statement, 0);
    sql_done(statement);
    return number;
}

static void values_come_back_as_they_went_in(void **state)
{
    struct sql *sql = open_with_table(*state);
    const uint8_t bytes[] = {0, 0xFF, '\'', 0x80, 0};
    const int64_t ids[] = {INT64_MAX, INT64_MIN + 1, 0, -1};
    struct fault fault = {0};
    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        struct sql_statement *statement = NULL;
        size_t length = 0;
        bool row = false;
        assert_true(sql_start(sql, i % 2 ? &PUT_BACKWARDS : &INSERT, &statement, &fault));
        sql_bind_whole(statement, 1, ids[i]);
        sql_bind_text(statement, 2, "o'Grün \"樹脂\" $1 \\ \x1d");
        sql_bind_blob(statement, 3, bytes, i == 2 ? 0 : sizeof bytes);
        if (!sql_finish(statement, NULL, &fault))
            fail_msg("%s", fault.text);
        assert_true(sql_start(sql, &LOAD, &statement, &fault));
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
    struct sql *sql = open_with_table(*state);
    struct sql_statement *statement = NULL;
    size_t length = 7;
    bool row = false;
    assert_true(sql_start(sql, &INSERT, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    sql_bind_null(statement, 2);
    sql_bind_null(statement, 3);
    assert_true(sql_finish(statement, NULL, NULL));
    assert_true(sql_start(sql, &LOAD, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    assert_true(sql_step(statement, &row, NULL));
    assert_true(sql_is_null(statement, 1));
    assert_string_equal(sql_text(statement, 1, &length), "");
    assert_int_equal(length, 0);
    sql_done(statement);
    assert_true(insert(sql, 2, "", NULL));
    assert_true(sql_start(sql, &LOAD, &statement, NULL));
    sql_bind_whole(statement, 1, 2);
    assert_true(sql_step(statement, &row, NULL));
    assert_false(sql_is_null(statement, 1));
    sql_done(statement);
    sql_close(sql);
}

static void order_is_by_bytes_with_nulls_where_stated(void **state)
{
    struct sql *sql = open_with_table(*state);
    /* byte order (memcmp); a language's order would put 'a' before 'B' and 'ä' beside 'a' */
    static const char *const expected[] = {"B", "a", "ä", NULL};
    struct sql_statement *statement = NULL;
    bool row = false;
    assert_true(insert(sql, 1, "ä", NULL));
    assert_true(insert(sql, 2, "a", NULL));
    must_exec(sql, "INSERT INTO thing (id) VALUES (3)");
    assert_true(insert(sql, 4, "B", NULL));
    assert_true(sql_start(sql, &EACH, &statement, NULL));
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
    struct sql *sql = open_with_table(*state);
    struct fault fault = {0};
    assert_false(insert(sql, 1, "ab\xFF", &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(sql_trouble(sql), SQL_INPUT);
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_forgotten_or_wrong_value_is_told_not_guessed(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    assert_true(sql_start(sql, &INSERT, &statement, NULL));
    sql_bind_whole(statement, 1, 1);
    sql_bind_text(statement, 2, "x");
    assert_false(sql_finish(statement, NULL, &fault));
    assert_non_null(strstr(fault.text, "not every value"));
    assert_true(sql_start(sql, &INSERT, &statement, NULL));
    sql_bind_text(statement, 1, "1");
    sql_bind_text(statement, 2, "x");
    sql_bind_null(statement, 3);
    assert_false(sql_finish(statement, NULL, &fault));
    assert_non_null(strstr(fault.text, "does not take"));
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_statement_may_be_lent_twice_at_once(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct sql_statement *outer = NULL, *inner = NULL;
    bool row = false;
    int seen = 0;
    for (int i = 1; i <= 3; i++)
        assert_true(insert(sql, i, "x", NULL));
    assert_true(sql_start(sql, &EACH, &outer, NULL));
    while (sql_step(outer, &row, NULL) && row) {
        bool more = false;
        assert_true(sql_start(sql, &EACH, &inner, NULL));
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
    struct sql *sql = open_with_table(*state);
    struct sql_statement *statement = NULL;
    int64_t changed = 0;
    for (int i = 1; i <= 5; i++)
        assert_true(insert(sql, i, "x", NULL));
    const int64_t from[] = {3, 100}, expected[] = {3, 0};
    for (int i = 0; i < 2; i++) {
        assert_true(sql_start(sql, &RENAME, &statement, NULL));
        sql_bind_whole(statement, 1, from[i]);
        sql_bind_text(statement, 2, "y");
        assert_true(sql_finish(statement, &changed, NULL));
        assert_int_equal(changed, expected[i]);
    }
    sql_close(sql);
}

static void a_second_row_of_one_key_is_a_conflict(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct fault fault = {0};
    assert_true(insert(sql, 1, "x", NULL));
    assert_false(insert(sql, 1, "y", &fault));
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    assert_int_equal(count(sql), 1);
    sql_close(sql);
}

static void a_savepoint_takes_back_only_what_follows_it(void **state)
{
    struct sql *sql = open_with_table(*state);
    assert_true(sql_begin(sql, NULL));
    assert_true(insert(sql, 1, "x", NULL));
    assert_true(sql_savepoint(sql, NULL));
    assert_true(insert(sql, 2, "y", NULL));
    assert_false(insert(sql, 2, "again", NULL)); /* PostgreSQL now takes nothing until the rollback */
    assert_true(sql_in_transaction(sql));
    assert_true(sql_rollback_to(sql, NULL));
    assert_int_equal(sql_trouble(sql), SQL_CONSTRAINT);
    assert_true(sql_savepoint(sql, NULL));
    assert_true(insert(sql, 3, "z", NULL));
    assert_true(sql_release(sql, NULL));
    assert_true(sql_commit(sql, NULL));
    assert_false(sql_in_transaction(sql));
    assert_int_equal(count(sql), 2);
    assert_true(sql_begin(sql, NULL));
    assert_true(insert(sql, 9, "gone", NULL));
    sql_rollback(sql);
    assert_int_equal(count(sql), 2);
    sql_close(sql);
}

static void what_is_written_is_counted_and_a_failed_statement_writes_nothing(void **state)
{
    struct sql *sql = open_with_table(*state);
    const int64_t before = sql_rows_written(sql);
    if (ledger_fixture_is_postgresql()) {
        assert_int_equal(before, -1);
        sql_close(sql);
        return;
    }
    assert_true(sql_begin(sql, NULL));
    (void)count(sql);
    assert_int_equal(sql_rows_written(sql), before);
    assert_true(insert(sql, 1, "x", NULL));
    assert_int_equal(sql_rows_written(sql), before + 1);
    assert_false(insert(sql, 1, "again", NULL));
    assert_int_equal(sql_rows_written(sql), before + 1);
    sql_rollback(sql);
    assert_int_equal(sql_rows_written(sql), before + 1);
    sql_close(sql);
}

static void closing_rolls_back_what_is_open(void **state)
{
    struct sql *sql = open_with_table(*state);
    assert_true(sql_begin(sql, NULL));
    assert_true(insert(sql, 1, "x", NULL));
    sql_close(sql);
    sql = open_sql(*state, SQL_WRITER);
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_reader_cannot_write(void **state)
{
    struct sql *writer = open_with_table(*state), *reader = open_sql(*state, SQL_READER);
    struct fault fault = {0};
    assert_false(insert(reader, 1, "x", &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_int_equal(count(writer), 0);
    sql_close(reader);
    sql_close(writer);
}

static void a_readers_transaction_sees_one_state(void **state)
{
    struct sql *writer = open_with_table(*state), *reader = open_sql(*state, SQL_READER);
    assert_true(insert(writer, 1, "x", NULL));
    assert_true(sql_begin(reader, NULL));
    assert_int_equal(count(reader), 1);
    assert_true(insert(writer, 2, "y", NULL));
    assert_int_equal(count(reader), 1);
    assert_true(sql_commit(reader, NULL));
    assert_int_equal(count(reader), 2);
    sql_close(reader);
    sql_close(writer);
}

static void tables_are_found_by_name(void **state)
{
    struct sql *sql = open_with_table(*state);
    bool has = false;
    assert_true(sql_has_table(sql, "thing", &has, NULL));
    assert_true(has);
    assert_true(sql_has_table(sql, "nothing", &has, NULL));
    assert_false(has);
    sql_close(sql);
}

/* ---- SQLite alone ---- */

static void a_second_writer_is_told_which_process_holds_the_lock(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = open_sql(fixture, SQL_WRITER), *second = NULL;
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
    struct sql *writer = open_with_table(*state), *reader = open_sql(*state, SQL_READER);
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
    struct sql *sql = open_with_table(fixture);
    const off_t before = size_of(fixture, "");
    for (int i = 1; i <= 3000; i++) { /* 1000 pages would have set off SQLite's own */
        assert_true(insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", NULL));
    }
    assert_int_equal(size_of(fixture, ""), before);
    assert_true(sql_log_bytes(sql) > 3000 * 4096);
    struct sql *reader = open_sql(fixture, SQL_READER);
    assert_int_equal(count(reader), 3000);
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
    struct sql *sql = open_with_table(*state);
    struct fault fault = {0};
    /* SQLite documentation, "PRAGMA max_page_count": growing beyond it is SQLITE_FULL */
    must_exec(sql, "PRAGMA max_page_count = 4");
    assert_true(sql_begin(sql, NULL));
    bool full = false;
    for (int i = 1; i <= 1000 && !full; i++)
        full = !insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", &fault);
    assert_true(full);
    assert_int_equal(sql_trouble(sql), SQL_FULL);
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "is full: free space"));
    sql_rollback(sql);
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_text_without_memory_is_told_and_not_taken_for_an_empty_one(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    size_t length = 0;
    bool row = false;
    assert_true(insert(sql, 1, "Flint", NULL));
    assert_true(sql_start(sql, &LOAD, &statement, &fault));
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
    assert_int_equal(count(sql), 1);
    sql_close(sql);
}

static void a_damaged_file_is_told(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct sql *sql = open_with_table(fixture);
    struct fault fault = {0};
    uint8_t rubbish[8192];
    for (int i = 1; i <= 500; i++)
        assert_true(insert(sql, i, "a name that is long enough to fill pages soon, and longer, and longer", NULL));
    sql_close(sql);
    memset(rubbish, 0xA5, sizeof rubbish);
    const int file = open(fixture->path, O_WRONLY | O_CLOEXEC);
    assert_int_equal(pwrite(file, rubbish, sizeof rubbish, 8192), sizeof rubbish);
    assert_int_equal(close(file), 0);
    sql = open_sql(fixture, SQL_WRITER);
    struct sql_statement *statement = NULL;
    bool row = true, fine = true;
    assert_true(sql_start(sql, &EACH, &statement, NULL));
    while (fine && row)
        fine = sql_step(statement, &row, &fault);
    sql_done(statement);
    assert_false(fine);
    assert_int_equal(sql_trouble(sql), SQL_CORRUPT);
    assert_non_null(strstr(fault.text, "newest backup"));
    sql_close(sql);
}

/* ---- PostgreSQL alone ---- */

static void end_connections(const struct ledger_fixture *fixture)
{
    char text[200];
    (void)snprintf(text, sizeof text,
                   "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE datname = '%s'", fixture->name);
    ledger_fixture_cluster_exec(text);
}

static void a_lost_connection_is_told_and_a_new_one_works(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct fault fault = {0};
    assert_true(sql_begin(sql, NULL));
    assert_true(insert(sql, 1, "x", NULL));
    end_connections(*state);
    assert_false(sql_commit(sql, &fault));
    assert_int_equal(sql_trouble(sql), SQL_LOST);
    assert_null(strpbrk(fault.text, "\n\t")); /* one line, whatever libpq says */
    assert_false(sql_in_transaction(sql));
    sql_close(sql);
    sql = open_sql(*state, SQL_WRITER);
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_commit_after_a_failed_statement_is_no_success(void **state)
{
    struct sql *sql = open_with_table(*state);
    struct fault fault = {0};
    assert_true(sql_begin(sql, NULL));
    assert_true(insert(sql, 1, "x", NULL));
    assert_false(insert(sql, 1, "y", NULL));
    assert_false(sql_commit(sql, &fault));
    assert_non_null(strstr(fault.text, "rolled back"));
    assert_int_equal(count(sql), 0);
    sql_close(sql);
}

static void a_serialization_failure_says_try_again(void **state)
{
    /* PostgreSQL manual, 13.2.2: a repeatable-read transaction cannot update a row changed since it began: 40001 */
    struct sql *one = open_with_table(*state), *two = open_sql(*state, SQL_WRITER);
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    assert_true(insert(one, 1, "x", NULL));
    must_exec(two, "BEGIN ISOLATION LEVEL REPEATABLE READ");
    assert_int_equal(count(two), 1);
    must_exec(one, "UPDATE thing SET name = 'changed'");
    assert_true(sql_start(two, &RENAME, &statement, NULL));
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
    struct sql *one = open_with_table(*state), *two = open_sql(*state, SQL_WRITER);
    struct second_update update = {.sql = two};
    struct thread *thread = NULL;
    assert_true(insert(one, 1, "x", NULL));
    assert_true(insert(one, 2, "x", NULL));
    must_exec(one, "SET deadlock_timeout = '50ms'");
    must_exec(two, "SET deadlock_timeout = '50ms'");
    assert_true(sql_begin(one, NULL));
    must_exec(one, "UPDATE thing SET name = 'a' WHERE id = 1");
    assert_true(sql_begin(two, NULL));
    must_exec(two, "UPDATE thing SET name = 'b' WHERE id = 2");
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
    struct sql *one = open_with_table(*state), *two = open_sql(*state, SQL_WRITER);
    struct fault fault = {0};
    assert_true(insert(one, 1, "x", NULL));
    assert_true(sql_begin(one, NULL));
    must_exec(one, "UPDATE thing SET name = 'a' WHERE id = 1");
    must_exec(two, "SET lock_timeout = '50ms'");
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
    const struct CMUnitTest both[] = {
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
    const struct CMUnitTest sqlite[] = {
        WITH_FIXTURE(a_second_writer_is_told_which_process_holds_the_lock),
        WITH_FIXTURE(a_missing_file_is_not_made_by_a_reader),
        WITH_FIXTURE(a_file_that_is_no_database_is_left_alone),
        WITH_FIXTURE(settings_are_what_durability_needs),
        WITH_FIXTURE(only_a_checkpoint_moves_the_log_into_the_file),
        WITH_FIXTURE(a_full_disk_is_told_and_nothing_is_half_written),
        WITH_FIXTURE(a_text_without_memory_is_told_and_not_taken_for_an_empty_one),
        WITH_FIXTURE(a_damaged_file_is_told),
    };
    const struct CMUnitTest postgresql[] = {
        WITH_FIXTURE(a_lost_connection_is_told_and_a_new_one_works),
        WITH_FIXTURE(a_commit_after_a_failed_statement_is_no_success),
        WITH_FIXTURE(a_serialization_failure_says_try_again),
        WITH_FIXTURE(a_deadlock_says_try_again_to_one_of_two),
        WITH_FIXTURE(a_held_row_is_busy_after_the_time_limit),
        WITH_FIXTURE(an_unreachable_server_is_told_without_a_password),
    };
    const int failed = cmocka_run_group_tests(both, NULL, NULL);
    return failed + (ledger_fixture_is_postgresql() ? cmocka_run_group_tests(postgresql, NULL, NULL)
                                                    : cmocka_run_group_tests(sqlite, NULL, NULL));
}
