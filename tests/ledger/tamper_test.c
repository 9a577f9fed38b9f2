#include <setjmp.h>
#include <spawn.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/backup/backup.h"
#include "kiosk/ledger/backup/verify_against.h"
#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/forged_ledger.h"

/* The attacker is the sqlite3 program itself (Debian's, an outside party): whatever it can do to one value of the file,
 * verify must find. Columns are taken from the file's own description, so that a new one cannot be forgotten. */

static struct ledger_fixture pristine; /* filled once, copied for each attack */

/* ---- the attacker ---- */

/* False: SQLite itself refused (a key, a check, NOT NULL). */
static bool attack(const struct ledger_fixture *fixture, const char *sql)
{
    const char *const arguments[] = {"sqlite3", "-batch", "-bail", fixture->path, sql, NULL};
    char *environment[] = {NULL};
    posix_spawn_file_actions_t actions;
    pid_t child = 0;
    int status = 0;
    assert_int_equal(posix_spawn_file_actions_init(&actions), 0);
    assert_int_equal(posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", 1, 0), 0);
    if (posix_spawnp(&child, "sqlite3", &actions, NULL, (char *const *)arguments, environment) != 0)
        fail_msg("the sqlite3 program is missing: install the packages of [tests]");
    posix_spawn_file_actions_destroy(&actions);
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

enum { LIST_MOST = 64, NAME_SIZE = 48, VALUE_SIZE = 200, SQL_SIZE = 1000 };

struct list {
    int count;
    char at[LIST_MOST][VALUE_SIZE];
};

/* One column of texts, asked of the file. */
static void ask(const struct ledger_fixture *fixture, const char *sql, struct list *list)
{
    sqlite3 *handle = NULL;
    sqlite3_stmt *statement = NULL;
    list->count = 0;
    assert_int_equal(sqlite3_open_v2(fixture->path, &handle, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    if (sqlite3_prepare_v2(handle, sql, -1, &statement, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(handle));
    while (sqlite3_step(statement) == SQLITE_ROW) {
        assert_true(list->count < LIST_MOST);
        const char *text = (const char *)sqlite3_column_text(statement, 0);
        (void)snprintf(list->at[list->count++], VALUE_SIZE, "%s", text ? text : "NULL");
    }
    sqlite3_finalize(statement);
    sqlite3_close(handle);
}

/* ---- what verify says ---- */

/* True when something is wrong; the sentence either way. */
static bool is_found(const struct ledger_fixture *fixture, char sentence[FAULT_TEXT_SIZE])
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean = false;
    if (!ledger_verify(fixture->address, &report, &clean, &fault)) {
        memcpy(sentence, fault.text, FAULT_TEXT_SIZE);
        return true;
    }
    memcpy(sentence, report.sentence, FAULT_TEXT_SIZE);
    return !clean;
}

/* ---- every value of every row ---- */

/* What a column can be set to; %c stands for the column. Kinds: I whole numbers, T texts, B bytes. */
static const struct {
    char kind;
    const char *value;
} values[] = {
    {'I', "CASE WHEN %c IS NULL THEN 7 ELSE NULL END"},
    {'I', "COALESCE(%c, 0) + 1"},
    {'I', "COALESCE(%c, 0) + 100"},
    {'I', "COALESCE(%c, 0) || 'x'"}, /* a text that reads as the same number */
    {'I', "COALESCE(%c, 0) + 0.25"}, /* a fraction that reads as the same number */
    {'I', "CAST(%c AS BLOB)"},
    {'I', "9223372036854775807"},
    {'T', "CASE WHEN %c IS NULL THEN 'x1' ELSE NULL END"},
    {'T', "''"},
    {'T', "COALESCE(%c, '') || 'X'"},
    {'T', "%c || char(0) || 'x'"}, /* a text that ends earlier for C */
    {'T', "CAST(%c AS BLOB)"},     /* bytes that read as the same text and compare as another */
    {'T', "lower(COALESCE(%c, 'a'))"},
    {'B', "NULL"},
    {'B', "zeroblob(length(%c))"},
    {'B', "%c || x'00'"},
    {'B', "CAST(hex(%c) AS TEXT)"},
};

static char kind_of(const char *declared)
{
    return strcmp(declared, "INTEGER") == 0 ? 'I' : strcmp(declared, "BLOB") == 0 ? 'B' : 'T';
}

static void put_column(const char *value, const char *column, char *out, size_t size)
{
    struct builder text;
    builder_init(&text, out, size);
    for (; *value; value++)
        if (value[0] == '%' && value[1] == 'c') {
            builder_add(&text, column);
            value++;
        } else {
            builder_add_char(&text, *value);
        }
    assert_false(text.cut);
}

/* One value set in one row: changed and found, or refused by SQLite, or no change at all. Tells whether it was made. */
static bool try_value(const char *table, const char *column, const char *row, const char *value, const char *name)
{
    struct ledger_fixture fixture;
    struct list before, after;
    char expression[VALUE_SIZE], look[SQL_SIZE], sql[SQL_SIZE], sentence[FAULT_TEXT_SIZE];
    ledger_fixture_copy(&fixture, &pristine);
    put_column(value, column, expression, sizeof expression);
    (void)snprintf(look, sizeof look, "SELECT quote(%s) || typeof(%s) FROM %s WHERE %s", column, column, table, row);
    (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = %s WHERE %s", table, column, expression, row);
    ask(&fixture, look, &before);
    const bool was_done = attack(&fixture, sql);
    ask(&fixture, look, &after);
    const bool changed = was_done && (after.count == 0 || strcmp(before.at[0], after.at[0]) != 0);
    if (changed && (!is_found(&fixture, sentence) || !strstr(sentence, name)))
        fail_msg("%s: verify says '%s' and should name '%s'", sql, sentence, name);
    ledger_fixture_destroy(&fixture);
    return changed;
}

static void try_column(const char *table, const char *column, char kind, const char *row, const char *name)
{
    int made = 0;
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        if (values[i].kind == kind)
            made += try_value(table, column, row, values[i].value, name);
    if (made == 0)
        fail_msg("nothing could be done to %s.%s where %s: this column was not tried", table, column, row);
}

static void columns_of(const char *table, struct list *names, struct list *types)
{
    char sql[SQL_SIZE];
    (void)snprintf(sql, sizeof sql, "SELECT name FROM pragma_table_info('%s')", table);
    ask(&pristine, sql, names);
    (void)snprintf(sql, sizeof sql, "SELECT type FROM pragma_table_info('%s')", table);
    ask(&pristine, sql, types);
    assert_true(names->count > 0);
}

static void every_column_of_the_first_middle_and_last_movement_is_guarded(void **state)
{
    static const int rows[] = {1, BOOKED_MOVEMENTS / 2, BOOKED_MOVEMENTS};
    struct list names, types;
    (void)state;
    columns_of("movement", &names, &types);
    for (int column = 0; column < names.count; column++)
        for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
            char row[NAME_SIZE], name[NAME_SIZE];
            (void)snprintf(row, sizeof row, "seq = %d", rows[i]);
            (void)snprintf(name, sizeof name, "movement %d", rows[i]);
            try_column("movement", names.at[column], kind_of(types.at[column]), row, name);
        }
}

/* Not the sum of movements, so nothing can tell what they should be; "" = the whole table. */
static const struct {
    const char *table, *column, *why;
} unguarded[] = {
    {"movement", "", "has a test of its own"},
    {"schema_version", "", "another number is refused when the ledger is opened"},
    {"ledger_head", "one", "a CHECK holds it"},
    {"ledger_head", "demo", "a kiosk refuses to open a demo's ledger as a real one and the reverse"},
    {"serial_next", "",
     "handed out, not booked: a number handed out again is refused by apply (unit is there already)"},
    {"session", "", "what a counter is in the middle of"},
    {"pin", "", "PINs stand beside the chain, so that they can be forgotten"},
    {"device", "", "whose token opens what; the chain says who gave and took it, and the digest is no part of it"},
    {"act", "", "so that a repeated act is known; the movements are the truth"},
    {"act_answer", "", "so that a repeated act gets the same words; forgotten after a while"},
};

static bool is_guarded(const char *table, const char *column)
{
    for (size_t i = 0; i < sizeof unguarded / sizeof *unguarded; i++)
        if (strcmp(unguarded[i].table, table) == 0 &&
            (unguarded[i].column[0] == '\0' || strcmp(unguarded[i].column, column) == 0))
            return false;
    return true;
}

/* Each row as a condition on its key; not every table counts its rows. */
static void name_rows(const char *table, struct list *rows)
{
    struct list keys;
    char sql[SQL_SIZE];
    struct builder text;
    (void)snprintf(sql, sizeof sql, "SELECT name FROM pragma_table_info('%s') WHERE pk > 0", table);
    ask(&pristine, sql, &keys);
    assert_true(keys.count > 0);
    builder_init(&text, sql, sizeof sql);
    builder_add(&text, "SELECT ");
    for (int i = 0; i < keys.count; i++)
        builder_addf(&text, "%s'%s%s = ' || quote(%s)", i > 0 ? " || " : "", i > 0 ? " AND " : "", keys.at[i],
                     keys.at[i]);
    builder_addf(&text, " FROM %s", table);
    assert_false(text.cut);
    ask(&pristine, sql, rows);
}

static int try_table(const char *table)
{
    struct list names, types, rows;
    int tried = 0;
    columns_of(table, &names, &types);
    name_rows(table, &rows);
    for (int column = 0; column < names.count; column++)
        for (int row = 0; row < rows.count && is_guarded(table, names.at[column]); row++, tried++)
            try_column(table, names.at[column], kind_of(types.at[column]), rows.at[row], "");
    if (tried == 0 && is_guarded(table, names.at[0]))
        fail_msg("table %s has no row in the booked ledger: book one, so that its columns are tried", table);
    return tried;
}

static void every_column_of_every_present_state_table_is_guarded(void **state)
{
    struct list tables;
    int tried = 0;
    (void)state;
    ask(&pristine, "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name", &tables);
    assert_true(tables.count >= 16);
    for (int i = 0; i < tables.count; i++)
        tried += try_table(tables.at[i]);
    assert_true(tried > 100);
}

/* ---- whole rows, and what acts behind the back ---- */

static void assert_attack_found(const char *sql, const char *name)
{
    struct ledger_fixture fixture;
    char sentence[FAULT_TEXT_SIZE];
    ledger_fixture_copy(&fixture, &pristine);
    assert_true(attack(&fixture, sql));
    if (!is_found(&fixture, sentence) || !strstr(sentence, name))
        fail_msg("%s: verify says '%s' and should name '%s'", sql, sentence, name);
    ledger_fixture_destroy(&fixture);
}

#define COPY_LAST_AS(number)                                                                                           \
    "CREATE TEMP TABLE copy AS SELECT * FROM movement WHERE seq = 54; UPDATE copy SET seq = " number                   \
    "; INSERT INTO movement SELECT * FROM copy"

static void a_movement_too_many_or_too_few_is_named(void **state)
{
    (void)state;
    assert_attack_found(COPY_LAST_AS("55"), "movement 55");
    assert_attack_found(COPY_LAST_AS("0"), "movement 0");
    assert_attack_found(COPY_LAST_AS("-7"), "movement -7");
    assert_attack_found("DELETE FROM movement WHERE seq = 14", "movement 14");
    assert_attack_found("DELETE FROM movement WHERE seq = 1", "movement 1 ");
    assert_attack_found("DELETE FROM movement WHERE seq > 51", "54 movements, but there are 51");
    assert_attack_found("DELETE FROM movement", "54 movements, but there are 0");
    assert_attack_found("DELETE FROM erasable_text WHERE value = 'Mara'", "names a text that is gone");
    assert_attack_found("DELETE FROM ledger_head", "head row");
}

static void a_trigger_or_a_view_is_no_part_of_a_ledger(void **state)
{
    (void)state;
    assert_attack_found("CREATE TRIGGER helper AFTER INSERT ON movement BEGIN UPDATE unit SET hold = ''; END",
                        "trigger 'helper'");
    assert_attack_found("ALTER TABLE unit RENAME TO unit_kept; CREATE VIEW unit AS SELECT * FROM unit_kept",
                        "view 'unit'");
}

/* ---- an attacker with our own program: what only a head kept elsewhere shows ---- */

static void assert_against(const struct ledger_fixture *fixture, int64_t first_bad_seq, const char *says)
{
    struct against_report report = {.first_bad_seq = -1};
    struct fault fault = {0};
    char sentence[FAULT_TEXT_SIZE];
    bool clean = false;
    if (is_found(fixture, sentence))
        fail_msg("plain verify was to be deceived, but it says '%s'", sentence);
    if (!verify_against(fixture->address, pristine.address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (clean != (first_bad_seq == 0) || report.first_bad_seq != first_bad_seq || !strstr(report.sentence, says))
        fail_msg("against: first %lld, '%s'", (long long)report.first_bad_seq, report.sentence);
}

static void assert_head(const struct ledger_fixture *fixture, const struct backup_facts *facts, int64_t first_bad_seq)
{
    struct against_report report = {.first_bad_seq = -1};
    struct chain_mark mark;
    struct fault fault = {0};
    char text[CHAIN_MARK_SIZE];
    bool clean = false;
    assert_true(chain_mark_read(span_of(chain_mark_write(facts->movements, facts->head, text)), &mark, NULL));
    if (!verify_head(fixture->address, &mark, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (clean != (first_bad_seq == 0) || report.first_bad_seq != first_bad_seq)
        fail_msg("head: first %lld, '%s'", (long long)report.first_bad_seq, report.sentence);
}

static void a_cut_tail_with_its_rows_and_head_made_to_match_is_found_by_an_older_head(void **state)
{
    static const int kept[] = {BOOKED_MOVEMENTS - 1, BOOKED_MOVEMENTS - 3, 7, 0};
    struct backup_facts facts;
    (void)state;
    assert_true(backup_look(pristine.address, &facts, NULL));
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        struct ledger_fixture cut;
        ledger_fixture_create(&cut);
        forged_ledger_make(&cut, pristine.address, kept[i], 0);
        assert_against(&cut, kept[i] + 1, "are missing");
        assert_head(&cut, &facts, kept[i] + 1);
        ledger_fixture_destroy(&cut);
    }
}

static void a_chain_computed_anew_from_some_movement_on_is_found_by_a_backup(void **state)
{
    static const int from[] = {1, 2, BOOKED_MOVEMENTS / 2, BOOKED_MOVEMENTS};
    struct backup_facts facts;
    (void)state;
    assert_true(backup_look(pristine.address, &facts, NULL));
    for (size_t i = 0; i < sizeof from / sizeof *from; i++) {
        struct ledger_fixture forged;
        char says[NAME_SIZE];
        ledger_fixture_create(&forged);
        forged_ledger_make(&forged, pristine.address, BOOKED_MOVEMENTS, from[i]);
        (void)snprintf(says, sizeof says, "movement %d is another one", from[i]);
        assert_against(&forged, from[i], says);
        assert_head(&forged, &facts, BOOKED_MOVEMENTS); /* a head alone says "or one before it" */
        ledger_fixture_destroy(&forged);
    }
}

static void an_honest_ledger_stands_against_its_older_backup(void **state)
{
    struct ledger_fixture longer, shorter;
    struct backup_facts facts;
    struct against_report report;
    bool clean = false;
    (void)state;
    ledger_fixture_copy(&longer, &pristine);
    ledger_fixture_create(&shorter);
    forged_ledger_make(&shorter, pristine.address, 11, 0); /* the same chain, earlier */
    assert_true(backup_look(shorter.address, &facts, NULL));
    assert_true(verify_against(longer.address, shorter.address, &report, &clean, NULL));
    assert_true(clean);
    assert_non_null(strstr(report.sentence, "all 11 movements"));
    assert_non_null(strstr(report.sentence, "43 newer ones"));
    assert_head(&longer, &facts, 0);
    ledger_fixture_destroy(&shorter);
    ledger_fixture_destroy(&longer);
}

static int fill(void **state)
{
    (void)state;
    ledger_fixture_create(&pristine);
    booked_ledger_make(&pristine);
    return 0;
}

static int clear(void **state)
{
    (void)state;
    ledger_fixture_destroy(&pristine);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_column_of_the_first_middle_and_last_movement_is_guarded),
        cmocka_unit_test(every_column_of_every_present_state_table_is_guarded),
        cmocka_unit_test(a_movement_too_many_or_too_few_is_named),
        cmocka_unit_test(a_trigger_or_a_view_is_no_part_of_a_ledger),
        cmocka_unit_test(a_cut_tail_with_its_rows_and_head_made_to_match_is_found_by_an_older_head),
        cmocka_unit_test(a_chain_computed_anew_from_some_movement_on_is_found_by_a_backup),
        cmocka_unit_test(an_honest_ledger_stands_against_its_older_backup),
    };
    return cmocka_run_group_tests_name("ledger/tamper", tests, fill, clear);
}
