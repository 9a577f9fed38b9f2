#include "kiosk/ledger/backup/backup_folder.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/ledger/backup_room.h"
#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/forged_ledger.h"

enum { HOUR_MS = 3600000, DAY_MS = 24 * HOUR_MS };

static const struct instant start = {INT64_C(1771063200000)}; /* GNU date: 2026-02-14T10:00:00Z */

static void names_say_when_and_how_far(void **state)
{
    static const char *const strangers[] = {"",
                                            "ledger-20260214T100000Z-37.sqlite.part",
                                            "ledger-20260214T100000Z-37.sqlite-wal",
                                            "ledger-20260214T100000Z-028.sqlite",
                                            "ledger-20260214T100000Z-.sqlite",
                                            "ledger-20260230T100000Z-37.sqlite",
                                            "ledger-20260214T250000Z-37.sqlite",
                                            "ledger-20260214T100000Z--37.sqlite",
                                            "ledger-20260214t100000z-37.sqlite",
                                            "Ledger-20260214T100000Z-37.sqlite",
                                            "ledger-2026021-T100000Z-37.sqlite",
                                            "ledger-20260214T100000Z-37.sqlite ",
                                            "ledger-20260214T100000Z-99999999999999999999.sqlite",
                                            "ledger.db",
                                            "holiday.jpg"};
    struct instant at = {0};
    char name[BACKUP_NAME_SIZE];
    int64_t seq = 0;
    (void)state;
    assert_string_equal(backup_name_write(start, 123456, name), "ledger-20260214T100000Z-123456.sqlite");
    assert_true(backup_name_read(name, &at, &seq));
    assert_int_equal(at.ms, start.ms);
    assert_int_equal(seq, 123456);
    for (size_t i = 0; i < sizeof strangers / sizeof *strangers; i++)
        if (backup_name_read(strangers[i], &at, &seq))
            fail_msg("'%s' is not one of ours", strangers[i]);
}

static void the_next_is_due_by_the_age_of_the_newest(void **state)
{
    struct backup_newest newest = {.found = true, .at = start};
    (void)state;
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms + HOUR_MS}, DAY_MS), 23 * HOUR_MS);
    assert_int_equal(backup_due_ms(&newest, start, DAY_MS), DAY_MS);
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms + DAY_MS - 1}, DAY_MS), 1);
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms + DAY_MS}, DAY_MS), 0);
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms + 90 * (int64_t)DAY_MS}, DAY_MS), 0);
    /* the clock was set back: no waiting until it has caught up */
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms - 1}, DAY_MS), 0);
    assert_int_equal(backup_due_ms(&newest, (struct instant){start.ms - 400 * (int64_t)DAY_MS}, DAY_MS), 0);
    newest.found = false;
    assert_int_equal(backup_due_ms(&newest, start, DAY_MS), 0);
}

static void add(const struct backup_room *room, int keep, int64_t after_ms, int expected_kept)
{
    struct backup_newest made = {.found = false};
    struct backup_facts facts;
    struct fault fault = {0};
    int kept = 0;
    if (!backup_folder_add(room->folder, room->fixture.address, keep, (struct instant){start.ms + after_ms}, NULL,
                           &made, &facts, &kept, &fault))
        fail_msg("%s", fault.text);
    assert_true(made.found);
    assert_int_equal(made.seq, facts.movements);
    assert_int_equal(kept, expected_kept);
}

static void the_newest_stay_and_the_oldest_go(void **state)
{
    const struct backup_room *room = *state;
    struct backup_newest newest;
    char names[BACKUP_NAMES_SIZE];
    for (int day = 0; day < 5; day++) {
        add(room, 3, day * (int64_t)DAY_MS, day < 3 ? day + 1 : 3);
        if (day < 4)
            backup_room_book_more(room->fixture.address, 1);
    }
    assert_string_equal(backup_room_names(room->folder, names),
                        "ledger-20260216T100000Z-56.sqlite ledger-20260217T100000Z-57.sqlite "
                        "ledger-20260218T100000Z-58.sqlite");
    assert_true(backup_folder_newest(room->folder, room->fixture.address, &newest, NULL));
    assert_true(newest.found);
    assert_int_equal(newest.seq, 58);
    assert_int_equal(newest.at.ms, start.ms + 4 * (int64_t)DAY_MS);
}

static void a_clock_that_was_set_back_makes_no_newer_one_go(void **state)
{
    const struct backup_room *room = *state;
    char names[BACKUP_NAMES_SIZE];
    add(room, 2, 0, 1);
    backup_room_book_more(room->fixture.address, 1);
    add(room, 2, -9 * (int64_t)DAY_MS, 2); /* said to be older, holds more */
    backup_room_book_more(room->fixture.address, 1);
    add(room, 2, -8 * (int64_t)DAY_MS, 2);
    assert_string_equal(backup_room_names(room->folder, names),
                        "ledger-20260205T100000Z-55.sqlite ledger-20260206T100000Z-56.sqlite");
    add(room, 3, -8 * (int64_t)DAY_MS, 3); /* the same second and number again */
    assert_string_equal(backup_room_names(room->folder, names),
                        "ledger-20260205T100000Z-55.sqlite ledger-20260206T100000Z-56.sqlite "
                        "ledger-20260206T100001Z-56.sqlite");
}

/* Another room's backups, a damaged one, somebody's notes and a link, all with such names. */
static void what_is_not_ours_is_neither_counted_nor_removed(void **state)
{
    struct backup_room *room = *state;
    struct ledger_fixture other;
    struct backup_facts facts;
    char path[600], names[BACKUP_NAMES_SIZE];
    ledger_fixture_create(&other);
    forged_ledger_make(&other, room->fixture.address, BOOKED_MOVEMENTS, 3);
    (void)snprintf(path, sizeof path, "%s/ledger-20250101T000000Z-54.sqlite", room->folder);
    assert_true(backup_make(other.address, path, NULL, &facts, NULL));
    ledger_fixture_destroy(&other);
    (void)snprintf(path, sizeof path, "%s/ledger-20250102T000000Z-9.sqlite", room->folder); /* its name is not true */
    assert_true(backup_make(room->fixture.address, path, NULL, &facts, NULL));
    (void)snprintf(path, sizeof path, "%s/ledger-20250103T000000Z-54.sqlite", room->folder);
    backup_room_write(path, "notes", 5);
    (void)snprintf(path, sizeof path, "%s/ledger-20250104T000000Z-54.sqlite", room->folder);
    assert_int_equal(symlink("/etc/hostname", path), 0);
    (void)snprintf(path, sizeof path, "%s/holiday.jpg", room->folder);
    backup_room_write(path, "sea", 3);
    add(room, 1, 0, 1);
    add(room, 1, HOUR_MS, 1);
    assert_string_equal(backup_room_names(room->folder, names),
                        "holiday.jpg ledger-20250101T000000Z-54.sqlite ledger-20250102T000000Z-9.sqlite "
                        "ledger-20250103T000000Z-54.sqlite ledger-20250104T000000Z-54.sqlite "
                        "ledger-20260214T110000Z-54.sqlite");
}

static void a_failing_one_removes_nothing(void **state)
{
    const struct backup_room *room = *state;
    struct backup_newest made = {.found = false};
    struct backup_facts facts;
    struct fault fault = {0};
    char names[BACKUP_NAMES_SIZE];
    add(room, 1, 0, 1);
    booked_ledger_tamper(&room->fixture, "UPDATE movement SET minutes = 1 WHERE seq = 54");
    assert_false(backup_folder_add(room->folder, room->fixture.address, 1, (struct instant){start.ms + DAY_MS}, NULL,
                                   &made, &facts, NULL, &fault));
    assert_false(made.found);
    assert_true(fault.text[0] != '\0');
    assert_string_equal(backup_room_names(room->folder, names), "ledger-20260214T100000Z-54.sqlite");
}

static void a_folder_that_is_not_there_is_a_sentence_and_is_not_made(void **state)
{
    const struct backup_room *room = *state;
    struct backup_newest newest;
    struct fault fault = {0};
    char path[600];
    (void)snprintf(path, sizeof path, "%s/stick", room->folder);
    assert_false(backup_folder_newest(path, room->fixture.address, &newest, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "is its disk there"));
    assert_int_equal(access(path, F_OK), -1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, backup_room_setup, backup_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_say_when_and_how_far),
        cmocka_unit_test(the_next_is_due_by_the_age_of_the_newest),
        TEST(the_newest_stay_and_the_oldest_go),
        TEST(a_clock_that_was_set_back_makes_no_newer_one_go),
        TEST(what_is_not_ours_is_neither_counted_nor_removed),
        TEST(a_failing_one_removes_nothing),
        TEST(a_folder_that_is_not_there_is_a_sentence_and_is_not_made),
    };
    return cmocka_run_group_tests_name("ledger/backup_folder", tests, NULL, NULL);
}
