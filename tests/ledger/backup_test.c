#include "kiosk/ledger/backup/backup.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "tests/ledger/backup_room.h"
#include "tests/ledger/booked_ledger.h"

static void a_backup_is_the_ledger_as_one_plain_file(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts, present;
    struct stat status;
    char names[BACKUP_NAMES_SIZE];
    size_t one_length = 0, other_length = 0, length = 0;
    backup_room_copy(room, &facts);
    assert_true(backup_look(room->fixture.address, &present, NULL));
    assert_memory_equal(facts.head, present.head, HASH_BYTES);
    assert_int_equal(facts.movements, BOOKED_MOVEMENTS);
    assert_int_equal(facts.units, BOOKED_UNITS);
    assert_int_equal(facts.newest.ms, INT64_C(1771061400000)); /* as booked_ledger books */
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
    assert_int_equal(stat(room->file, &status), 0);
    assert_int_equal(status.st_mode & 0777 & ~0640, 0);
    /* SQLite file format 1.3: bytes 18 and 19 are 1 for a rollback journal, 2 for a write-ahead log */
    unsigned char *bytes = backup_room_bytes(room->file, &length);
    assert_int_equal(bytes[18], 1);
    assert_int_equal(bytes[19], 1);
    free(bytes);
    char *one = booked_ledger_export(room->fixture.address, &one_length);
    char *other = booked_ledger_export(room->file, &other_length);
    assert_int_equal(one_length, other_length);
    assert_memory_equal(one, other, one_length);
    free(one);
    free(other);
}

/* An outside reader: the sqlite library by itself, read-only and with no side files allowed. */
static void a_backup_opens_anywhere_by_itself(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    char names[BACKUP_NAMES_SIZE], uri[600];
    sqlite3 *handle = NULL;
    sqlite3_stmt *statement = NULL;
    backup_room_copy(room, &facts);
    assert_int_equal(chmod(room->file, 0440), 0);
    (void)snprintf(uri, sizeof uri, "file:%s?mode=ro&immutable=1", room->file);
    assert_int_equal(sqlite3_open_v2(uri, &handle, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(handle, "SELECT COUNT(*) FROM movement", -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    assert_int_equal(sqlite3_column_int(statement, 0), BOOKED_MOVEMENTS);
    sqlite3_finalize(statement);
    sqlite3_close(handle);
    assert_true(backup_check(room->file, &facts, NULL));
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
}

static void a_backup_holds_what_was_committed_and_nothing_that_was_not(void **state)
{
    struct backup_room *room = *state;
    struct backup_facts facts;
    struct movement movement;
    struct ledger *ledger = ledger_fixture_open(&room->fixture, LEDGER_WRITER);
    assert_true(ledger_begin(ledger, NULL));
    ledger_fixture_book_as(ledger, "act-00000007", "H0000014", INT64_C(1771061400001));
    movement_init(&movement, MOVEMENT_CLOCK_CONFIRMED);
    assert_true(ledger_book(ledger, &movement, NULL));
    backup_room_copy(room, &facts);
    assert_int_equal(facts.movements, BOOKED_MOVEMENTS);
    assert_true(ledger_commit(ledger, NULL)); /* the copy did not hold the writer up */
    assert_int_equal(unlink(room->file), 0);
    backup_room_copy(room, &facts);
    assert_int_equal(facts.movements, BOOKED_MOVEMENTS + 1);
    assert_memory_equal(facts.head, movement.hash, HASH_BYTES);
    ledger_close(ledger);
}

static void assert_refused(const struct backup_room *room, const char *file, enum fault_code code, const char *says)
{
    struct backup_facts facts = {.movements = 77};
    struct fault fault = {0};
    assert_false(backup_make(room->fixture.address, file, NULL, &facts, &fault));
    if (fault.code != code || !strstr(fault.text, says))
        fail_msg("%s: %s", fault_code_word(fault.code), fault.text);
    assert_int_equal(facts.movements, 77);
}

static void a_file_that_is_there_is_never_written_over(void **state)
{
    const struct backup_room *room = *state;
    char names[BACKUP_NAMES_SIZE];
    size_t length = 0;
    backup_room_write(room->file, "mine", 4);
    assert_refused(room, room->file, FAULT_CONFLICT, "is there already");
    unsigned char *bytes = backup_room_bytes(room->file, &length);
    assert_int_equal(length, 4);
    free(bytes);
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
}

static void a_place_that_takes_no_file_is_a_sentence(void **state)
{
    const struct backup_room *room = *state;
    char path[600];
    (void)snprintf(path, sizeof path, "%s/none/copy.sqlite", room->folder);
    assert_refused(room, path, FAULT_STORAGE, "is the disk mounted?");
    backup_room_write(room->file, "mine", 4);
    (void)snprintf(path, sizeof path, "%s/copy.sqlite", room->file); /* a file where a folder should be */
    assert_refused(room, path, FAULT_STORAGE, "cannot be made");
    assert_refused(room, "/proc/copy.sqlite", FAULT_STORAGE, "cannot be made");
}

static void a_full_disk_is_a_sentence_and_leaves_nothing(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct fault fault = {0};
    char names[BACKUP_NAMES_SIZE];
    struct rlimit before, small;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    (void)signal(SIGXFSZ, SIG_IGN); /* the kernel then answers EFBIG, as ENOSPC at any write */
    for (rlim_t size = 0; size < 220000; size += 30000) {
        small = (struct rlimit){.rlim_cur = size, .rlim_max = before.rlim_max};
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
        const bool made = backup_make(room->fixture.address, room->file, NULL, &facts, &fault);
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
        if (made)
            break; /* large enough */
        if (fault.code != FAULT_STORAGE || fault.text[0] == '\0')
            fail_msg("at %lu bytes: %s", (unsigned long)size, fault.text);
        assert_string_equal(backup_room_names(room->folder, names), "");
    }
    if (access(room->file, F_OK) != 0)
        backup_room_copy(room, &facts);
}

static void a_ledger_that_is_not_whole_gives_no_backup(void **state)
{
    const struct backup_room *room = *state;
    char names[BACKUP_NAMES_SIZE];
    if (!ledger_fixture_is_postgresql()) { /* there the copy's rows are made anew from the movements */
        booked_ledger_tamper(&room->fixture, "UPDATE unit SET place = 'CAP-1' WHERE serial = '" BOOKED_VAT "'");
        assert_refused(room, room->file, FAULT_INPUT, "unit " BOOKED_VAT ": place");
    }
    booked_ledger_tamper(&room->fixture, "UPDATE movement SET minutes = 1 WHERE seq = 9");
    assert_refused(room, room->file, FAULT_INPUT, ledger_fixture_is_postgresql() ? "line 10" : "movement 9");
    assert_string_equal(backup_room_names(room->folder, names), "");
}

static void what_a_killed_backup_left_is_written_over_but_not_one_at_work(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    char part[600], names[BACKUP_NAMES_SIZE];
    (void)snprintf(part, sizeof part, "%s.part", room->file);
    backup_room_write(part, "half a page", 11);
    const int other = open(part, O_RDWR | O_CLOEXEC);
    assert_int_equal(flock(other, LOCK_EX), 0);
    assert_refused(room, room->file, FAULT_BUSY, "another program is writing");
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite.part");
    (void)close(other); /* as the kernel does for a killed one */
    backup_room_copy(room, &facts);
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
}

static void a_kiosk_that_ends_breaks_its_backup_off(void **state)
{
    const struct backup_room *room = *state;
    const atomic_bool stop = true;
    struct backup_facts facts;
    struct fault fault = {0};
    char names[BACKUP_NAMES_SIZE];
    assert_false(backup_make(room->fixture.address, room->file, &stop, &facts, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_string_equal(backup_room_names(room->folder, names), "");
}

static void what_is_no_ledger_is_said_by_its_own_name(void **state)
{
    struct backup_room *room = *state;
    struct backup_facts facts;
    struct fault fault = {0};
    char notes[600], copy[600], names[BACKUP_NAMES_SIZE];
    (void)snprintf(notes, sizeof notes, "%s/notes.txt", room->folder);
    (void)snprintf(copy, sizeof copy, "%s/x", room->folder);
    backup_room_write(notes, "no ledger, only notes", 21);
    assert_false(backup_make(notes, copy, NULL, &facts, &fault));
    assert_non_null(strstr(fault.text, "notes.txt"));
    assert_false(backup_check(notes, &facts, &fault));
    assert_non_null(strstr(fault.text, "notes.txt"));
    assert_string_equal(backup_room_names(room->folder, names), "notes.txt");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, backup_room_setup, backup_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_backup_is_the_ledger_as_one_plain_file),
        TEST(a_backup_opens_anywhere_by_itself),
        TEST(a_backup_holds_what_was_committed_and_nothing_that_was_not),
        TEST(a_file_that_is_there_is_never_written_over),
        TEST(a_place_that_takes_no_file_is_a_sentence),
        TEST(a_full_disk_is_a_sentence_and_leaves_nothing),
        TEST(a_ledger_that_is_not_whole_gives_no_backup),
        TEST(what_a_killed_backup_left_is_written_over_but_not_one_at_work),
        TEST(a_kiosk_that_ends_breaks_its_backup_off),
        TEST(what_is_no_ledger_is_said_by_its_own_name),
    };
    return cmocka_run_group_tests_name("ledger/backup", tests, NULL, NULL);
}
