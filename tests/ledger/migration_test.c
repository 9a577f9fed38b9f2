#include "kiosk/ledger/schema.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/ledger/print_batch.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/ledger/trace.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

/* Ledgers of earlier forms (fixtures/ledgers) become ledgers of today's, on both databases, and lose nothing. */

static char *read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be opened", path);
    char *text = calloc(1, 1 << 20);
    const size_t length = fread(text, 1, (1 << 20) - 1, file);
    (void)fclose(file);
    assert_in_range(length, 1, (1 << 20) - 2);
    return text;
}

/* {int} and so on become the engine's words; X'00ff', SQLite's way to write bytes, PostgreSQL's. */
static char *in_the_engines_words(const struct sql *sql, const char *text)
{
    const size_t size = strlen(text) * 3;
    char *out = malloc(size);
    struct builder builder;
    builder_init(&builder, out, size);
    for (const char *at = text; *at;) {
        const char *close = *at == '{' ? strchr(at, '}') : NULL;
        const char *word = close ? sql_schema_word(sql, at + 1, (size_t)(close - at) - 1) : NULL;
        if (word) {
            builder_add(&builder, word);
            at = close + 1;
        } else if (ledger_fixture_is_postgresql() && at > text && (at[-1] == ',' || at[-1] == '(') && at[0] == 'X' &&
                   at[1] == '\'') {
            builder_add(&builder, "'\\x");
            at += 2;
        } else {
            builder_add_char(&builder, *at++);
        }
    }
    assert_false(builder.cut);
    return out;
}

static void make_ledger(const struct ledger_fixture *fixture, const char *path)
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    char *text = read_file(path);
    if (!sql_open(fixture->address, SQL_WRITER, &sql, &fault))
        fail_msg("%s", fault.text);
    char *words = in_the_engines_words(sql, text);
    if (!sql_exec(sql, words, &fault))
        fail_msg("%s", fault.text);
    free(words);
    free(text);
    sql_close(sql);
}

static bool count(const struct movement *movement, void *context)
{
    assert_string_equal(movement->act, "demo-001-person-entry");
    ++*(int *)context;
    return true;
}

static void form_1_becomes_todays_and_keeps_every_movement_row_and_answer(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    struct act_row row;
    char *answer = NULL;
    bool clean = false, found = false;
    make_ledger(fixture, FIXTURES "/ledgers/form-1.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(act_row_find(ledger, "demo-001-person-entry", &row, &answer, &found, &fault));
    assert_true(found);
    assert_int_equal(row.first_seq, 1);
    assert_non_null(strstr(answer, "storekeeper"));
    free(answer);
    int movements = 0;
    assert_true(ledger_each_of_act(ledger, "demo-001-person-entry", count, &movements, &fault));
    assert_int_equal(movements, 2); /* the entry and the badge's label */
    struct print_batch batch;
    assert_true(print_batch_load(ledger, "demo-001-person-entry", 1, INT64_MAX, &batch, &fault));
    assert_int_equal(batch.size, 1); /* form 4: a label knows who ordered it and when, from its movement */
    assert_string_equal(batch.labels[0].batch, "demo-001-person-entry");
    assert_int_equal(batch.labels[0].rank, batch.labels[0].ordered_seq);
    assert_true(batch.labels[0].ordered_ms > 0);
    print_batch_clear(&batch);
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 84);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0x00, 0x42, 0x00, 0xb0, 0xa5, 0x2c};
    assert_memory_equal(report.head, head, sizeof head);
}

static bool add_units(const struct stock_line *line, void *context)
{
    *(int64_t *)context += line->units;
    return true;
}

static void form_2_keeps_its_totals_and_its_jobs(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    struct job job = {.id = ""}, other = {.id = ""};
    bool clean = false, found = false;
    int64_t units = 0;
    make_ledger(fixture, FIXTURES "/ledgers/form-2.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(job_load(ledger, "form2-act-0003", &job, &found, &fault));
    assert_true(found);
    assert_string_equal(job.machine, "HALYARD");
    assert_true(job.ended_ms > job.started_ms);
    assert_true(job_load_running(ledger, "CAPSTAN", &job, &found, &fault));
    assert_true(found);
    assert_string_equal(job.id, "form2-act-0002");
    assert_true(job_load_running(ledger, "HALYARD", &other, &found, &fault));
    assert_false(found);
    assert_true(stock_each(ledger, "", add_units, &units, &fault));
    assert_int_equal(units, 11);
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 90);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0xB3, 0x04, 0x64, 0x74, 0x0C, 0xB8, 0xFD, 0x6D};
    assert_memory_equal(report.head, head, sizeof head);
}

static bool add_stop(const struct trace_stop *stop, void *context)
{
    char *names = context;
    const size_t length = strlen(names);
    (void)snprintf(names + length, 200 - length, "%s%s ", stop->serial, stop->job);
    return true;
}

/* What was booked before lots could be traced is traced as far as it says; the vat was taken on with the lot in it. */
static void form_3_is_traced_by_its_lots(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    bool clean = false;
    char names[200] = "";
    make_ledger(fixture, FIXTURES "/ledgers/form-3.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    if (!trace_lot(ledger, "FLINT", "FL-2207", add_stop, names, NULL, &fault))
        fail_msg("%s", fault.text);
    assert_string_equal(names, "C900000Y C900001W V9000007 form3-act-0001 ");
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 89);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0x45, 0x49, 0xDB, 0xF3, 0x64, 0x6E, 0xDB, 0xCC};
    assert_memory_equal(report.head, head, sizeof head);
}

static bool count_untrained(const struct person *person, void *context)
{
    int *count = context;
    assert_string_equal(person->training, "");
    (*count)++;
    return true;
}

static bool has_no_ticket(const struct job *job, void *context)
{
    int64_t *jobs = context;
    assert_string_equal(job->code, "");
    assert_string_equal(job->outcome, "");
    assert_true(job->ticket == MOVEMENT_NULL && job->end_ms == MOVEMENT_NULL && job->used_ul == MOVEMENT_NULL);
    ++*jobs;
    return true;
}

static void form_4_says_nothing_of_what_it_did_not_know(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    struct unit unit;
    struct item item;
    struct label_printer printer;
    bool clean = false, found = false, any_pin = true;
    int people = 0;
    make_ledger(fixture, FIXTURES "/ledgers/form-4.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(unit_load(ledger, "V9000007", &unit, &found, &fault));
    assert_true(found);
    assert_int_equal(unit.amount_ul, 420000);
    assert_false(unit.estimated);
    assert_true(unit.first_filled == MOVEMENT_NULL && unit.opened == MOVEMENT_NULL && unit.tare_dg == MOVEMENT_NULL);
    assert_true(item_load(ledger, "FLINT", &item, &found, &fault));
    assert_true(found); /* and nobody had entered a supplier */
    assert_true(!item.sds.supplier[0] && !item.sds.address[0] && !item.sds.phone[0] && !item.sds.quantity[0] &&
                !item.sds.ufi[0] && !item.sds.language[0]);
    /* how long labels came out was told then, and no label was drawn for it */
    assert_true(label_printer_load(ledger, "label-printer", &printer, &found, &fault));
    assert_true(found);
    assert_int_equal(printer.shift_right, -4);
    assert_int_equal(printer.stretch_um, 40400);
    assert_true(printer.size_across == MOVEMENT_NULL && printer.size_down == MOVEMENT_NULL);
    assert_true(person_each(ledger, count_untrained, &people, &fault));
    assert_true(people > 0);
    assert_true(pin_any(ledger, &any_pin, &fault));
    assert_false(any_pin);
    int64_t jobs = 0;
    assert_true(job_each(ledger, has_no_ticket, &jobs, &fault)); /* nor of how a job ended */
    assert_true(jobs > 0);
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 92);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0x02, 0x2D, 0xA7, 0xEF, 0x8C, 0x56, 0x2D, 0x66};
    assert_memory_equal(report.head, head, sizeof head);
}

/* For whom it is kept, when it comes back, since when its resin stands: earlier programs were told none of it. */
static bool is_looked_after_by_nobody(const struct unit *unit, void *context)
{
    int *units = context;
    assert_true(!unit->reserved[0] && !unit->pair[0]);
    assert_true(unit->reserved_until == MOVEMENT_NULL && unit->due == MOVEMENT_NULL && unit->stood_ms == MOVEMENT_NULL);
    assert_true(unit->inspected_minutes == MOVEMENT_NULL && unit->surface_minutes == MOVEMENT_NULL);
    ++*units;
    return true;
}

static void form_5_keeps_what_was_poured_and_who_took_over(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    struct unit worn, fresh;
    struct item item;
    bool clean = false, found = false;
    int units = 0;
    make_ledger(fixture, FIXTURES "/ledgers/form-5.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(unit_load(ledger, "V9000015", &worn, &found, &fault) && found);
    assert_true(unit_load(ledger, "V9000023", &fresh, &found, &fault) && found);
    assert_int_equal(worn.status, UNIT_RETIRED);
    assert_string_equal(worn.heir, "V9000023");
    assert_int_equal(fresh.amount_ul, 430000);
    assert_true(item_load(ledger, "CHALK", &item, &found, &fault) && found);
    assert_int_equal(item.density_mg_ml, 1150);
    assert_true(item.stir_days == MOVEMENT_NULL && item.inspect_minutes == MOVEMENT_NULL &&
                item.surface_minutes == MOVEMENT_NULL);
    assert_true(unit_each(ledger, UNIT_BY_ALL, "", "", INT32_MAX, is_looked_after_by_nobody, &units, &fault));
    assert_int_equal(units, 11);
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 112);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0x22, 0xB4, 0x39, 0xFF, 0xDE, 0xBF, 0xE7, 0x7D};
    assert_memory_equal(report.head, head, sizeof head);
}

static void form_6_counts_its_shelves_and_keeps_what_it_was_told_to_look_after(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct verify_report report;
    struct fault fault = {0};
    struct unit kept, lent, worn, tray;
    bool clean = false, found = false;
    int64_t units = 0;
    make_ledger(fixture, FIXTURES "/ledgers/form-6.sql");
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(unit_count_in_place(ledger, "A01", &units, &fault));
    assert_int_equal(units, 2); /* a third one was taken to a printer */
    assert_true(unit_count_in_place(ledger, "B01", &units, &fault));
    assert_int_equal(units, 4); /* a tray's label is no fifth */
    assert_true(unit_load(ledger, "C900001W", &kept, &found, &fault) && found);
    assert_string_equal(kept.reserved, "H900001V");
    assert_int_equal(kept.reserved_until, 20788);
    assert_true(unit_load(ledger, "C900007K", &lent, &found, &fault) && found);
    assert_string_equal(lent.place, "ANNEX");
    assert_int_equal(lent.due, 20790);
    assert_true(unit_load(ledger, "V9000007", &worn, &found, &fault) && found);
    assert_int_equal(worn.inspected_minutes, 8460);
    assert_true(worn.stood_ms != MOVEMENT_NULL);
    assert_true(unit_load(ledger, "T9000004", &tray, &found, &fault) && found);
    assert_string_equal(tray.pair, "V9000015");
    ledger_close(ledger);
    if (!ledger_verify(fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_int_equal(report.movements, 116);
    /* its head, as the program that made it said */
    static const uint8_t head[] = {0x88, 0x9D, 0xA4, 0x31, 0xF2, 0xBF, 0x4A, 0x56};
    assert_memory_equal(report.head, head, sizeof head);
}

/* ---- what an earlier ledger becomes ---- */

/* Columns in their order, what they hold, and keys; then indexes but those of keys, whose names depend on the way. */
static const struct sql_text SQLITE_TABLES = {
    "SELECT t.name || ' ' || t.wr || ' ' || c.cid || ' ' || c.name || ' ' || c.type || ' ' || c.\"notnull\" || ' ' ||"
    " COALESCE(c.dflt_value, '-') || ' ' || c.pk FROM pragma_table_list AS t JOIN pragma_table_info(t.name) AS c"
    " WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' ORDER BY t.name, c.cid",
    ""};
static const struct sql_text SQLITE_INDEXES = {
    "SELECT sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL ORDER BY name", ""};
static const struct sql_text POSTGRESQL_TABLES = {
    "SELECT table_name || ' ' || ordinal_position || ' ' || column_name || ' ' || data_type || ' ' || is_nullable ||"
    " ' ' || COALESCE(collation_name, '-') || ' ' || COALESCE(column_default, '-') FROM information_schema.columns"
    " WHERE table_schema = current_schema() ORDER BY table_name, ordinal_position",
    ""};
static const struct sql_text POSTGRESQL_INDEXES = {
    "SELECT indexdef FROM pg_indexes WHERE schemaname = current_schema() AND indexname NOT LIKE '%pkey%' ORDER BY 1",
    ""};
static const struct sql_text POSTGRESQL_KEYS = {
    "SELECT conrelid::regclass::text || ' ' || pg_get_constraintdef(oid) FROM pg_constraint"
    " WHERE connamespace = current_schema()::regnamespace ORDER BY 1",
    ""};

static void describe(struct sql *sql, const struct sql_text *text, struct builder *out)
{
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    bool row = false;
    size_t length;
    if (!sql_start(sql, text, &statement, &fault))
        fail_msg("%s", fault.text);
    while (sql_step(statement, &row, &fault) && row)
        builder_addf(out, "%s\n", sql_text(statement, 0, &length));
    sql_done(statement);
    assert_int_equal(fault.code, FAULT_NONE);
}

enum { DESCRIPTION = 1 << 16 };

/* Prepares the ledger there and says what its tables are. */
static void describe_prepared(const struct ledger_fixture *fixture, char description[DESCRIPTION])
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    struct builder out;
    builder_init(&out, description, DESCRIPTION);
    if (!sql_open(fixture->address, SQL_WRITER, &sql, &fault) || !schema_prepare(sql, &fault))
        fail_msg("%s", fault.text);
    const bool postgresql = ledger_fixture_is_postgresql();
    describe(sql, postgresql ? &POSTGRESQL_TABLES : &SQLITE_TABLES, &out);
    describe(sql, postgresql ? &POSTGRESQL_INDEXES : &SQLITE_INDEXES, &out);
    if (postgresql)
        describe(sql, &POSTGRESQL_KEYS, &out);
    assert_false(out.cut);
    sql_close(sql);
}

static void an_earlier_ledger_gets_the_tables_that_a_new_one_has(void **state)
{
    const struct ledger_fixture *earlier = *state;
    static char grown[DESCRIPTION], made[DESCRIPTION];
    struct ledger_fixture fresh;
    make_ledger(earlier, FIXTURES "/ledgers/form-1.sql");
    describe_prepared(earlier, grown);
    ledger_fixture_create(&fresh);
    describe_prepared(&fresh, made);
    ledger_fixture_destroy(&fresh);
    assert_non_null(strstr(made, "unit_by_place"));
    assert_non_null(strstr(made, "schema_version"));
    assert_string_equal(grown, made);
}

static void a_reader_does_not_migrate(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    make_ledger(fixture, FIXTURES "/ledgers/form-1.sql");
    assert_false(ledger_open(fixture->address, LEDGER_READER, &ledger, &fault));
    assert_non_null(strstr(fault.text, "start the kiosk on it once"));
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(form_1_becomes_todays_and_keeps_every_movement_row_and_answer),
        WITH_FIXTURE(form_2_keeps_its_totals_and_its_jobs),
        WITH_FIXTURE(form_3_is_traced_by_its_lots),
        WITH_FIXTURE(form_4_says_nothing_of_what_it_did_not_know),
        WITH_FIXTURE(form_5_keeps_what_was_poured_and_who_took_over),
        WITH_FIXTURE(form_6_counts_its_shelves_and_keeps_what_it_was_told_to_look_after),
        WITH_FIXTURE(an_earlier_ledger_gets_the_tables_that_a_new_one_has),
        WITH_FIXTURE(a_reader_does_not_migrate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
