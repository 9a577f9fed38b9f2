#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/backup/backup_restore.h"
#include "kiosk/ledger/backup/verify_against.h"
#include "tests/ledger/backup_room.h"
#include "tests/reading/random.h"

/* Backups that a bad disk or a bad stick has changed: flipped bits, bytes written over, cut ends. Whatever opens one
 * says a sentence or that all is well, and says the latter only of the very chain that was backed up. */

enum { FLIPS = 250, CUTS = 40, RESTORE_EVERY = 8, HEADER_BYTES = 100 };

struct counts {
    int clean, told;
};

static void must_say(const struct fault *fault)
{
    if (fault->code == FAULT_NONE || strlen(fault->text) < 20)
        fail_msg("no sentence: '%s'", fault->text);
}

/* Restoring agrees with checking: taken whole, or refused with nothing left in place. */
static void restore_agrees(const struct backup_room *room, bool is_whole, const struct backup_facts *facts)
{
    static const struct restore_options options = {.now = {INT64_C(1771061400000)}};
    struct restore_report report;
    struct fault fault = {0};
    char path[600], names[BACKUP_NAMES_SIZE];
    (void)snprintf(path, sizeof path, "%s/new.db", room->folder);
    if (backup_restore(path, room->file, &options, &report, &fault)) {
        assert_true(is_whole);
        assert_memory_equal(report.facts.head, facts->head, HASH_BYTES);
        assert_int_equal(unlink(path), 0);
        return;
    }
    must_say(&fault);
    assert_false(is_whole);
    assert_string_equal(backup_room_names(room->folder, names), "copy.sqlite");
}

static void look_at(const struct backup_room *room, const struct backup_facts *facts, bool restores,
                    struct counts *counts)
{
    struct backup_facts seen;
    struct verify_report report;
    struct against_report against;
    struct fault fault = {0};
    bool clean = false;
    const bool is_whole = backup_check(room->file, &seen, &fault);
    if (is_whole) { /* the byte meant nothing: a free page, a stored answer, a version number of SQLite's */
        assert_memory_equal(seen.head, facts->head, HASH_BYTES);
        assert_int_equal(seen.movements, facts->movements);
        counts->clean++;
    } else {
        must_say(&fault);
        counts->told++;
    }
    fault = (struct fault){0};
    if (!ledger_verify(room->file, &report, &clean, &fault))
        must_say(&fault);
    else if (clean)
        assert_memory_equal(report.head, facts->head, HASH_BYTES);
    fault = (struct fault){0};
    if (!verify_against(room->fixture.address, room->file, &against, &clean, &fault))
        must_say(&fault);
    if (restores)
        restore_agrees(room, is_whole, facts);
}

static void a_backup_with_flipped_bytes_is_never_taken_for_another_chain(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct counts counts = {0, 0};
    uint64_t seed = 20260214;
    size_t length = 0;
    backup_room_copy(room, &facts);
    unsigned char *bytes = backup_room_bytes(room->file, &length);
    for (int i = 0; i < FLIPS; i++) {
        const uint32_t dice = random_next(&seed);
        const size_t at = random_next(&seed) % (i % 5 == 0 ? HEADER_BYTES : length); /* the header more often */
        const unsigned char kept = bytes[at];
        bytes[at] = dice % 3 == 0 ? (unsigned char)(dice >> 8) : kept ^ (unsigned char)(1U << (dice >> 8) % 8);
        backup_room_write(room->file, bytes, length);
        look_at(room, &facts, i % RESTORE_EVERY == 0, &counts);
        bytes[at] = kept;
    }
    free(bytes);
    print_message("%d flips: %d told, %d without meaning\n", FLIPS, counts.told, counts.clean);
    assert_true(counts.told > FLIPS / 10);
}

static void a_page_of_noise_is_told(void **state)
{
    const struct backup_room *room = *state;
    enum { PAGE = 4096 };
    struct backup_facts facts;
    struct counts counts = {0, 0};
    unsigned char kept[PAGE];
    uint64_t seed = 7;
    size_t length = 0;
    backup_room_copy(room, &facts);
    unsigned char *bytes = backup_room_bytes(room->file, &length);
    assert_int_equal(length % PAGE, 0);
    /* SQLite file format 1.3.11: bytes 36 to 39 count the pages that hold nothing, where noise means nothing */
    const int free_pages = bytes[36] << 24 | bytes[37] << 16 | bytes[38] << 8 | bytes[39];
    assert_true((size_t)free_pages < length / PAGE / 4);
    for (size_t page = 0; page < length / PAGE; page++) {
        memcpy(kept, bytes + page * PAGE, PAGE);
        for (size_t i = 0; i < PAGE; i++)
            bytes[page * PAGE + i] = (unsigned char)random_next(&seed);
        backup_room_write(room->file, bytes, length);
        look_at(room, &facts, true, &counts);
        memcpy(bytes + page * PAGE, kept, PAGE);
    }
    free(bytes);
    assert_true(counts.clean <= free_pages);
}

static void a_backup_that_was_cut_is_told(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts;
    struct counts counts = {0, 0};
    size_t length = 0;
    backup_room_copy(room, &facts);
    unsigned char *bytes = backup_room_bytes(room->file, &length);
    for (size_t i = 0; i < CUTS; i++) {
        backup_room_write(room->file, bytes, length * i / CUTS);
        look_at(room, &facts, i % RESTORE_EVERY == 0, &counts);
    }
    free(bytes);
    assert_int_equal(counts.clean, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, backup_room_setup, backup_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_backup_with_flipped_bytes_is_never_taken_for_another_chain),
        TEST(a_page_of_noise_is_told),
        TEST(a_backup_that_was_cut_is_told),
    };
    return cmocka_run_group_tests_name("ledger/backup_flip", tests, NULL, NULL);
}
