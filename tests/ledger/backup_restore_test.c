#include "kiosk/ledger/backup/backup_restore.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/backup_room.h"
#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/forged_ledger.h"

#define ASIDE "ledger.db.before-20260214T093000Z"

static const struct restore_options plainly = {.forget = 0, .now = {INT64_C(1771061400000)}};

static void restore(const struct backup_room *room, int64_t forget, struct restore_report *report)
{
    struct restore_options options = plainly;
    struct fault fault = {0};
    options.forget = forget;
    if (!backup_restore(room->fixture.address, room->file, &options, report, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(report->facts.movements, BOOKED_MOVEMENTS);
    backup_room_assert_clean(room->fixture.address, report->facts.head);
}

static void assert_refused(const struct backup_room *room, int64_t forget, enum fault_code code, const char *says)
{
    struct restore_options options = plainly;
    struct restore_report report;
    struct fault fault = {0};
    options.forget = forget;
    assert_false(backup_restore(room->fixture.address, room->file, &options, &report, &fault));
    if (fault.code != code || !strstr(fault.text, says))
        fail_msg("%s: %s", fault_code_word(fault.code), fault.text);
}

/* ---- a file ---- */

static void a_lost_ledger_comes_back_with_its_head(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct restore_report report;
    char names[BACKUP_NAMES_SIZE];
    backup_room_copy(room, &facts);
    assert_int_equal(unlink(room->fixture.path), 0);
    restore(room, 0, &report);
    assert_memory_equal(report.facts.head, facts.head, HASH_BYTES);
    assert_string_equal(report.aside, "");
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db");
    backup_room_book_more(room->fixture.address, 1); /* and the room goes on */
}

static void movements_that_would_be_left_behind_are_counted_and_must_be_named(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts, present;
    struct restore_report report;
    char names[BACKUP_NAMES_SIZE], aside[600];
    backup_room_copy(room, &facts);
    backup_room_book_more(room->fixture.address, 5);
    assert_true(backup_look(room->fixture.address, &present, NULL));
    assert_refused(room, 0, FAULT_REFUSED, "holds 5 movements that are not in it");
    assert_refused(room, 4, FAULT_REFUSED, "--forget 5");
    assert_refused(room, 6, FAULT_REFUSED, "--forget 5");
    backup_room_assert_clean(room->fixture.address, present.head); /* untouched so far */
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db");
    restore(room, 5, &report);
    assert_int_equal(report.forgotten, 5);
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db " ASIDE "");
    (void)snprintf(aside, sizeof aside, "%s/" ASIDE, room->fixture.folder);
    assert_string_equal(report.aside, aside);
    backup_room_assert_clean(aside, present.head); /* the former ledger, whole */
    assert_refused(room, 5, FAULT_REFUSED, "nothing of the present ledger would be left behind");
}

static void a_second_restore_in_the_same_second_keeps_both(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct restore_report report;
    char names[BACKUP_NAMES_SIZE];
    backup_room_copy(room, &facts);
    restore(room, 0, &report);
    restore(room, 0, &report);
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db " ASIDE " " ASIDE ".2");
}

static void a_ledger_that_went_another_way_counts_from_the_fork(void **state)
{
    struct backup_room *room = *state;
    struct ledger_fixture forged;
    struct backup_facts facts;
    ledger_fixture_create(&forged);
    forged_ledger_make(&forged, room->fixture.address, BOOKED_MOVEMENTS, 21);
    backup_room_copy(room, &facts);
    assert_int_equal(rename(forged.path, room->fixture.path), 0);
    assert_refused(room, 0, FAULT_REFUSED, "holds 34 movements that are not in it"); /* 21 to 54 */
    ledger_fixture_destroy(&forged);
}

/* As a power cut leaves it: the newest commits stand in the write-ahead log alone. */
static void what_stands_in_the_log_is_counted_and_kept(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts, present;
    struct restore_report report;
    char names[BACKUP_NAMES_SIZE], log[700], aside[600];
    size_t length = 0, log_length = 0;
    (void)snprintf(log, sizeof log, "%s-wal", room->fixture.path);
    (void)snprintf(aside, sizeof aside, "%s/" ASIDE, room->fixture.folder);
    backup_room_copy(room, &facts);
    struct ledger *ledger = ledger_fixture_open(&room->fixture, LEDGER_WRITER);
    struct movement movement;
    assert_true(ledger_begin(ledger, NULL));
    ledger_fixture_book_as(ledger, "act-00000008", "H0000014", INT64_C(1771061400001));
    movement_init(&movement, MOVEMENT_CLOCK_CONFIRMED);
    assert_true(ledger_book(ledger, &movement, NULL));
    assert_true(ledger_commit(ledger, NULL));
    unsigned char *file = backup_room_bytes(room->fixture.path, &length);
    unsigned char *in_log = backup_room_bytes(log, &log_length);
    assert_true(log_length > 0);
    ledger_close(ledger);
    backup_room_write(room->fixture.path, file, length);
    backup_room_write(log, in_log, log_length);
    free(file);
    assert_true(backup_look(room->fixture.address, &present, NULL));
    assert_int_equal(present.movements, BOOKED_MOVEMENTS + 1);
    assert_refused(room, 0, FAULT_REFUSED, "holds 1 movements");
    restore(room, 1, &report);
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db " ASIDE " " ASIDE "-wal");
    backup_room_assert_clean(aside, present.head);
    (void)snprintf(log, sizeof log, "%s-wal", aside);
    unsigned char *kept = backup_room_bytes(log, &length);
    assert_int_equal(length, log_length);
    assert_memory_equal(kept, in_log, length); /* byte for byte, for whoever looks into it */
    free(kept);
    free(in_log);
}

/* SQLite would read a log into whatever file has the name. */
static void a_log_without_its_file_is_moved_aside(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct restore_report report;
    char names[BACKUP_NAMES_SIZE], log[600];
    backup_room_copy(room, &facts);
    (void)snprintf(log, sizeof log, "%s-wal", room->fixture.path);
    assert_int_equal(unlink(room->fixture.path), 0);
    backup_room_write(log, "what is left of a log", 21);
    restore(room, 0, &report);
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db " ASIDE "-wal");
}

static void a_damaged_ledger_is_replaced_and_kept_as_it_is(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct restore_report report;
    char aside[600], garbage[5000];
    size_t length = 0;
    backup_room_copy(room, &facts);
    memset(garbage, 'z', sizeof garbage);
    backup_room_write(room->fixture.path, garbage, sizeof garbage);
    restore(room, 0, &report);
    assert_true(report.unreadable);
    (void)snprintf(aside, sizeof aside, "%s/" ASIDE, room->fixture.folder);
    unsigned char *kept = backup_room_bytes(aside, &length);
    assert_int_equal(length, sizeof garbage);
    assert_memory_equal(kept, garbage, length);
    free(kept);
}

static void a_backup_that_is_not_whole_changes_nothing(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct ledger_fixture bad = {.path = ""};
    char names[BACKUP_NAMES_SIZE];
    backup_room_copy(room, &facts);
    assert_true(span_copy(span_of(room->file), bad.address, sizeof bad.address));
    booked_ledger_tamper(&bad, "UPDATE unit SET holder = 'H0000014' WHERE serial = '" BOOKED_VAT "'");
    assert_refused(room, 0, FAULT_INPUT, "cannot be restored: ");
    booked_ledger_tamper(&bad, "CREATE TRIGGER t AFTER INSERT ON unit BEGIN DELETE FROM question; END");
    assert_refused(room, 0, FAULT_INPUT, "holds a trigger or view, 't'");
    backup_room_write(room->file, "not a ledger at all, only some words", 36);
    assert_refused(room, 0, FAULT_INPUT, "damaged or is no ledger");
    assert_int_equal(unlink(room->file), 0);
    assert_refused(room, 0, FAULT_MISSING, "name a file that is there");
    backup_room_assert_clean(room->fixture.address, facts.head);
    assert_string_equal(backup_room_names(room->fixture.folder, names), "ledger.db");
}

static void nobody_restores_under_a_running_kiosk(void **state)
{
    struct backup_room *room = *state;
    struct backup_facts facts;
    backup_room_copy(room, &facts);
    struct ledger *ledger = ledger_fixture_open(&room->fixture, LEDGER_WRITER);
    assert_refused(room, 0, FAULT_BUSY, "already works on");
    ledger_close(ledger);
}

static void a_ledger_is_not_restored_onto_itself_nor_into_a_folder_that_is_not_there(void **state)
{
    struct backup_room *room = *state;
    struct restore_report report;
    struct backup_facts facts;
    struct fault fault = {0};
    char none[600];
    backup_room_copy(room, &facts);
    assert_false(backup_restore(room->fixture.address, room->fixture.path, &plainly, &report, &fault));
    assert_non_null(strstr(fault.text, "is the ledger itself"));
    (void)snprintf(none, sizeof none, "%s/none/ledger.db", room->folder);
    assert_false(backup_restore(none, room->file, &plainly, &report, &fault));
    assert_non_null(strstr(fault.text, "is the disk mounted?"));
}

/* fixtures/ledgers/README.md says where it comes from. */
static void make_form_1(const char *path)
{
    static const char *const words[][2] = {{"{int}", "INTEGER"}, {"{blob}", "BLOB"}, {"{text}", "TEXT"}};
    size_t length = 0;
    unsigned char *bytes = backup_room_bytes(FIXTURES "/ledgers/form-1.sql", &length);
    char *text = calloc(2, length + 1);
    struct builder out;
    struct sql *sql = NULL;
    struct fault fault = {0};
    assert_non_null(text);
    builder_init(&out, text, 2 * (length + 1));
    bytes[length] = '\0';
    for (const char *at = (const char *)bytes; *at;) {
        size_t word = 0;
        while (word < 3 && !span_starts(span_of(at), words[word][0]))
            word++;
        if (word == 3)
            builder_add_char(&out, *at++);
        else
            builder_add(&out, words[word][1]), at += strlen(words[word][0]);
    }
    free(bytes);
    if (out.cut || !sql_open(path, SQL_WRITER, &sql, &fault) || !sql_exec(sql, text, &fault))
        fail_msg("%s", fault.text);
    sql_close(sql);
    free(text);
}

static void a_backup_of_an_earlier_form_is_brought_up_to_todays(void **state)
{
    const struct backup_room *room = *state;
    struct restore_report report;
    struct backup_facts facts;
    struct fault fault = {0};
    char names[BACKUP_NAMES_SIZE];
    make_form_1(room->file);
    assert_false(backup_look(room->file, &facts, NULL)); /* a reader changes nothing, so it cannot read it */
    assert_int_equal(unlink(room->fixture.path), 0);
    if (!backup_restore(room->fixture.address, room->file, &plainly, &report, &fault))
        fail_msg("%s", fault.text);
    assert_true(report.facts.movements > 0);
    backup_room_assert_clean(room->fixture.address, report.facts.head);
    backup_room_book_more(room->fixture.address, 1);
    assert_false(backup_look(room->file, &facts, NULL)); /* nor does a restore change the backup */
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
}

/* ---- serials: labels printed after the backup are still in the room ---- */

static void take_serial(const char *address, char serial[SERIAL_SIZE])
{
    struct ledger *ledger = NULL;
    assert_true(ledger_open(address, LEDGER_WRITER, &ledger, NULL));
    assert_true(ledger_begin(ledger, NULL));
    assert_true(ledger_next_serial(ledger, 'R', serial, NULL));
    assert_true(ledger_commit(ledger, NULL));
    ledger_close(ledger);
}

static long number_of(const char *serial)
{
    char letter = '\0';
    long number = 0;
    assert_true(serial_read(span_of(serial), &letter, &number, NULL));
    return number;
}

static void serials_given_since_the_backup_are_not_given_again(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct restore_report report;
    char given[SERIAL_SIZE], next[SERIAL_SIZE];
    backup_room_copy(room, &facts);
    for (int i = 0; i < 20; i++)
        take_serial(room->fixture.address, given);
    restore(room, 0, &report); /* the present ledger knows them */
    assert_int_equal(report.serials_skipped, 0);
    take_serial(room->fixture.address, next);
    assert_true(number_of(next) > number_of(given) && number_of(next) < number_of(given) + 5);
    assert_int_equal(unlink(room->fixture.path), 0);
    restore(room, 0, &report); /* nobody knows them: a good many are left out */
    assert_int_equal(report.serials_skipped, RESTORE_SERIALS);
    take_serial(room->fixture.address, next);
    assert_true(number_of(next) > RESTORE_SERIALS);
}

/* ---- a database ---- */

static void a_database_is_restored_into_an_empty_one_only(void **state)
{
    struct backup_room *room = *state;
    struct ledger_fixture empty;
    struct backup_facts facts;
    struct restore_report report;
    struct fault fault = {0};
    size_t one_length = 0, other_length = 0;
    backup_room_copy(room, &facts);
    assert_refused(room, 0, FAULT_CONFLICT, "import goes into an empty one only");
    ledger_fixture_create(&empty);
    if (!backup_restore(empty.address, room->file, &plainly, &report, &fault))
        fail_msg("%s", fault.text);
    assert_memory_equal(report.facts.head, facts.head, HASH_BYTES);
    assert_int_equal(report.serials_skipped, RESTORE_SERIALS);
    char *one = booked_ledger_export(room->fixture.address, &one_length);
    char *other = booked_ledger_export(empty.address, &other_length);
    assert_int_equal(one_length, other_length);
    assert_memory_equal(one, other, one_length);
    free(one);
    free(other);
    ledger_fixture_destroy(&empty);
}

static void a_damaged_backup_leaves_a_database_empty(void **state)
{
    struct backup_room *room = *state;
    struct ledger_fixture empty, bad = {.path = ""};
    struct backup_facts facts;
    struct restore_report report;
    struct fault fault = {0};
    backup_room_copy(room, &facts);
    assert_true(span_copy(span_of(room->file), bad.address, sizeof bad.address));
    booked_ledger_tamper(&bad, "UPDATE movement SET word = 'x' WHERE seq = 20");
    ledger_fixture_create(&empty);
    assert_false(backup_restore(empty.address, room->file, &plainly, &report, &fault));
    assert_non_null(strstr(fault.text, "movement 20"));
    ledger_close(ledger_fixture_open(&empty, LEDGER_WRITER)); /* makes the tables: none were there */
    assert_true(backup_look(empty.address, &facts, NULL));
    assert_int_equal(facts.movements, 0);
    ledger_fixture_destroy(&empty);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, backup_room_setup, backup_room_teardown)

int main(void)
{
    const struct CMUnitTest file[] = {
        TEST(a_lost_ledger_comes_back_with_its_head),
        TEST(movements_that_would_be_left_behind_are_counted_and_must_be_named),
        TEST(a_second_restore_in_the_same_second_keeps_both),
        TEST(a_ledger_that_went_another_way_counts_from_the_fork),
        TEST(what_stands_in_the_log_is_counted_and_kept),
        TEST(a_log_without_its_file_is_moved_aside),
        TEST(a_damaged_ledger_is_replaced_and_kept_as_it_is),
        TEST(a_backup_that_is_not_whole_changes_nothing),
        TEST(a_backup_of_an_earlier_form_is_brought_up_to_todays),
        TEST(nobody_restores_under_a_running_kiosk),
        TEST(a_ledger_is_not_restored_onto_itself_nor_into_a_folder_that_is_not_there),
        TEST(serials_given_since_the_backup_are_not_given_again),
    };
    const struct CMUnitTest database[] = {
        TEST(a_database_is_restored_into_an_empty_one_only),
        TEST(a_damaged_backup_leaves_a_database_empty),
    };
    return ledger_fixture_is_postgresql() ? cmocka_run_group_tests_name("ledger/backup_restore", database, NULL, NULL)
                                          : cmocka_run_group_tests_name("ledger/backup_restore", file, NULL, NULL);
}
