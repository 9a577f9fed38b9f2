#include "kiosk/ledger/row_memory.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/tables.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

static const struct row_fields ONE = {.table = "one"}, TWO = {.table = "two"};

static void what_was_put_comes_back_for_its_table_key_and_size_only(void **state)
{
    (void)state;
    struct row_memory *memory = row_memory_create();
    int64_t row = 7, read = 0;
    int32_t narrow = 0;
    assert_false(row_memory_get(memory, &ONE, "A1", &read, sizeof read));
    row_memory_put(memory, &ONE, "A1", &row, sizeof row);
    assert_true(row_memory_get(memory, &ONE, "A1", &read, sizeof read));
    assert_int_equal(read, 7);
    assert_false(row_memory_get(memory, &TWO, "A1", &read, sizeof read));
    assert_false(row_memory_get(memory, &ONE, "A", &read, sizeof read));
    assert_false(row_memory_get(memory, &ONE, "A1", &narrow, sizeof narrow));
    row_memory_drop(memory, &TWO, "A1");
    assert_true(row_memory_get(memory, &ONE, "A1", &read, sizeof read));
    row_memory_drop(memory, &ONE, "A1");
    assert_false(row_memory_get(memory, &ONE, "A1", &read, sizeof read));
    row_memory_destroy(memory);
}

/* More keys than there are places: what is there is right, and the newest is there. */
static void a_place_is_never_anothers(void **state)
{
    (void)state;
    struct row_memory *memory = row_memory_create();
    char key[16];
    int kept = 0;
    for (int64_t i = 0; i < 3000; i++) {
        int64_t newest = -1;
        (void)snprintf(key, sizeof key, "K-%d", (int)i);
        row_memory_put(memory, &ONE, key, &i, sizeof i);
        assert_true(row_memory_get(memory, &ONE, key, &newest, sizeof newest));
        assert_int_equal(newest, i);
    }
    for (int64_t i = 0; i < 3000; i++) {
        int64_t read = -1;
        (void)snprintf(key, sizeof key, "K-%d", (int)i);
        if (!row_memory_get(memory, &ONE, key, &read, sizeof read))
            continue;
        assert_int_equal(read, i);
        kept++;
    }
    assert_in_range(kept, 100, 1000);
    row_memory_drop_all(memory);
    for (int i = 0; i < 3000; i++) {
        int64_t read = -1;
        (void)snprintf(key, sizeof key, "K-%d", i);
        assert_false(row_memory_get(memory, &ONE, key, &read, sizeof read));
    }
    row_memory_destroy(memory);
}

static void a_key_too_long_is_not_kept_and_hurts_nobody(void **state)
{
    (void)state;
    struct row_memory *memory = row_memory_create();
    char key[200];
    int64_t row = 7;
    memset(key, 'k', sizeof key - 1);
    key[sizeof key - 1] = '\0';
    row_memory_put(memory, &ONE, key, &row, sizeof row);
    assert_false(row_memory_get(memory, &ONE, key, &row, sizeof row));
    row_memory_drop(memory, &ONE, key);
    row_memory_destroy(memory);
}

/* ---- in the ledger: an act sees what the ledger holds, whoever wrote it ---- */

static void must(bool fine, const struct fault *fault)
{
    if (!fine)
        fail_msg("%s", fault->text);
}

static void begin(struct ledger *ledger)
{
    struct fault fault = {0};
    must(ledger_begin(ledger, &fault), &fault);
}

static void commit(struct ledger *ledger)
{
    struct fault fault = {0};
    must(ledger_commit(ledger, &fault), &fault);
}

static void save(struct ledger *ledger, const char *name, int64_t version)
{
    struct place place = {.code = "A1", .kind = "shelf", .version = version};
    struct fault fault = {0};
    assert_true(span_copy(span_of(name), place.name, sizeof place.name));
    must(place_save(ledger, &place, &fault), &fault);
}

static void assert_name(struct ledger *ledger, const char *name)
{
    struct place place = {.name = ""};
    struct fault fault = {0};
    bool found = false;
    must(place_load(ledger, "A1", &place, &found, &fault), &fault);
    assert_true(found);
    assert_string_equal(place.name, name);
}

/* Another program, past the kiosk. */
static void write_past(const struct ledger_fixture *fixture, const char *text)
{
    struct fault fault = {0};
    if (ledger_fixture_is_postgresql()) {
        struct sql *sql = NULL;
        must(sql_open(fixture->address, SQL_WRITER, &sql, &fault) && sql_exec(sql, text, &fault), &fault);
        sql_close(sql);
        return;
    }
    sqlite3 *handle = NULL;
    assert_int_equal(sqlite3_open(fixture->path, &handle), SQLITE_OK);
    assert_int_equal(sqlite3_exec(handle, text, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(handle), SQLITE_OK);
}

static void a_row_saved_is_read_as_saved(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    begin(ledger);
    save(ledger, "first", 1);
    assert_name(ledger, "first");
    save(ledger, "second", 2);
    assert_name(ledger, "second");
    commit(ledger);
    assert_name(ledger, "second"); /* outside a transaction */
    begin(ledger);
    assert_name(ledger, "second");
    commit(ledger);
}

static void what_is_rolled_back_is_forgotten(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    begin(ledger);
    save(ledger, "first", 1);
    commit(ledger);
    begin(ledger);
    save(ledger, "second", 2);
    assert_name(ledger, "second");
    ledger_rollback(ledger);
    begin(ledger);
    assert_name(ledger, "first");
    must(ledger_savepoint(ledger, &fault), &fault);
    save(ledger, "third", 3);
    assert_name(ledger, "third");
    ledger_rollback_to(ledger);
    assert_name(ledger, "first");
    commit(ledger);
}

static void what_another_program_wrote_is_seen_by_the_next_group(void **state)
{
    struct ledger_fixture *fixture = *state;
    begin(fixture->ledger);
    save(fixture->ledger, "first", 1);
    commit(fixture->ledger);
    for (int i = 0; i < 3; i++) { /* kept, with and without a write of our own in between */
        begin(fixture->ledger);
        assert_name(fixture->ledger, "first");
        if (i == 1)
            save(fixture->ledger, "first", 2);
        commit(fixture->ledger);
    }
    write_past(fixture, "UPDATE place SET name = 'theirs' WHERE code = 'A1'");
    begin(fixture->ledger);
    assert_name(fixture->ledger, "theirs");
    commit(fixture->ledger);
    begin(fixture->ledger);
    assert_name(fixture->ledger, "theirs");
    save(fixture->ledger, "ours", 3);
    commit(fixture->ledger);
    write_past(fixture, "UPDATE place SET name = 'theirs too' WHERE code = 'A1'");
    begin(fixture->ledger);
    assert_name(fixture->ledger, "theirs too");
    commit(fixture->ledger);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_put_comes_back_for_its_table_key_and_size_only),
        cmocka_unit_test(a_place_is_never_anothers),
        cmocka_unit_test(a_key_too_long_is_not_kept_and_hurts_nobody),
        TEST(a_row_saved_is_read_as_saved),
        TEST(what_is_rolled_back_is_forgotten),
        TEST(what_another_program_wrote_is_seen_by_the_next_group),
    };
    return cmocka_run_group_tests_name("ledger/row_memory", tests, NULL, NULL);
}
