#include "kiosk/ledger/opening.h"

#include <inttypes.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/ledger/audit.h"
#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/damage_room.h"

enum { CHILD_UNIT = 1 };

static struct opening look(const struct ledger_fixture *fixture)
{
    struct opening opening = {0};
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    opening_look(ledger, &opening);
    ledger_close(ledger);
    return opening;
}

/* What a start says of a ledger: "" when all is well. */
static const char *check(const struct ledger_fixture *fixture, struct opening *opening, struct fault *fault)
{
    struct ledger *ledger = NULL;
    *fault = (struct fault){FAULT_NONE, ""};
    if (!ledger_open(fixture->address, LEDGER_WRITER, &ledger, fault))
        return fault->text;
    opening_look(ledger, opening);
    (void)opening_check(ledger, opening, fault);
    ledger_close(ledger);
    return fault->text;
}

/* ---- the last stop ---- */

static void an_orderly_stop_leaves_no_trace(void **state)
{
    const struct ledger_fixture *fixture = *state;
    damage_room_make(fixture, 3, 5);
    for (int i = 0; i < 2; i++) {
        const struct opening opening = look(fixture);
        assert_true(opening.orderly);
        assert_string_equal(opening.sentence, "");
        assert_true(ledger_fixture_is_postgresql() || opening.bytes > 4096);
    }
}

static void a_stop_without_closing_is_said_with_the_number_of_the_process(void **state)
{
    const struct ledger_fixture *fixture = *state;
    char words[80];
    if (ledger_fixture_is_postgresql())
        skip(); /* the server's own affair */
    damage_room_make(fixture, CHILD_UNIT, 1);
    const int child = damage_room_abandon(fixture, 5);
    assert_true(damage_room_size(fixture, "-wal") > 0);
    struct opening opening = look(fixture);
    (void)snprintf(words, sizeof words, "the last stop was not orderly: process %d", child);
    assert_false(opening.orderly);
    assert_ptr_equal(strstr(opening.sentence, words), opening.sentence);
    assert_false(opening.log_torn);
    opening = look(fixture); /* closed orderly by the one before */
    assert_true(opening.orderly);
    assert_int_equal(damage_room_number(fixture, "SELECT COUNT(*) FROM movement"), 3 + 2 + 5);
}

static void a_copy_of_file_and_log_without_the_lock_file_was_not_closed_either(void **state)
{
    const struct ledger_fixture *fixture = *state;
    if (ledger_fixture_is_postgresql())
        skip();
    damage_room_make(fixture, CHILD_UNIT, 1);
    (void)damage_room_abandon(fixture, 5);
    damage_room_cut(fixture, ".lock", 0);
    const struct opening opening = look(fixture);
    assert_false(opening.orderly);
    assert_non_null(strstr(opening.sentence, "write-ahead log"));
}

/* ---- the last movements ---- */

static void the_last_movements_of_a_good_ledger_agree(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct opening opening = {0};
    struct fault fault;
    ledger_close(ledger_fixture_open(fixture, LEDGER_WRITER));
    assert_string_equal(check(fixture, &opening, &fault), "");
    assert_int_equal(opening.movements, 0);
    booked_ledger_make(fixture); /* every kind of movement */
    assert_string_equal(check(fixture, &opening, &fault), "");
    assert_int_equal(opening.movements, BOOKED_MOVEMENTS);
}

static void a_thousand_movements_are_checked_and_no_more(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct opening opening = {0};
    struct fault fault;
    damage_room_make(fixture, 20, 60); /* 3 + 20 * 61 = 1223 */
    assert_string_equal(check(fixture, &opening, &fault), "");
    assert_int_equal(opening.movements, OPENING_MOVEMENTS);
    booked_ledger_tamper(fixture,
                         "UPDATE movement SET minutes = 1 WHERE seq = 223"); /* the base: its hash alone counts */
    assert_string_equal(check(fixture, &opening, &fault), "");
    booked_ledger_tamper(fixture, "UPDATE movement SET minutes = 1 WHERE seq = 224");
    assert_non_null(strstr(check(fixture, &opening, &fault), "hash of movement 224"));
}

static void damage_in_the_last_movements_is_named(void **state)
{
    static const struct {
        const char *sql, *says;
    } cases[] = {
        {"UPDATE movement SET place = 'A3' WHERE seq = 30", "the hash of movement 30"},
        {"UPDATE movement SET hash = (SELECT hash FROM movement WHERE seq = 3) WHERE seq = 64", "movement 64"},
        {"DELETE FROM movement WHERE seq = 40", "after movement 39 comes 41"},
        {"DELETE FROM movement WHERE seq = 64", "the head row says 64 movements, and the last one is 63"},
        {"UPDATE ledger_head SET seq = 63", "says 63 movements, and the last one is 64"},
        {"UPDATE ledger_head SET hash = (SELECT hash FROM movement WHERE seq = 3)", "the head row's hash"},
        {"DELETE FROM ledger_head", "head row"},
        {"UPDATE unit SET version = 12 WHERE serial = (SELECT unit FROM movement WHERE seq = 64)", "movement 64"},
        {"UPDATE unit SET status = 'out' WHERE serial = (SELECT unit FROM movement WHERE seq = 64)", "says out"},
        {"DELETE FROM unit WHERE serial = (SELECT unit FROM movement WHERE seq = 64)", "has lost its row"},
        {"UPDATE unit SET status = 'gnoe' WHERE serial = (SELECT unit FROM movement WHERE seq = 64)", "no kiosk wrote"},
        {"UPDATE movement SET kind = 'pta-away' WHERE seq = 50", "no kiosk wrote"},
    };
    struct opening opening = {0};
    struct fault fault;
    struct ledger_fixture made, copy;
    (void)state;
    ledger_fixture_create(&made);
    damage_room_make(&made, 1, 60); /* 64 movements */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ledger_fixture_copy(&copy, &made);
        booked_ledger_tamper(&copy, cases[i].sql);
        const char *said = check(&copy, &opening, &fault);
        if (!strstr(said, cases[i].says) || !strstr(said, "newest backup") || fault.code != FAULT_DAMAGED)
            fail_msg("%s: '%s'", cases[i].sql, said);
        ledger_fixture_destroy(&copy);
    }
    ledger_fixture_destroy(&made);
}

/* proc(5): rchar counts the bytes that read calls gave, whether they came from the disk or from memory. */
static int64_t bytes_read(void)
{
    int64_t bytes = 0;
    FILE *file = fopen("/proc/self/io", "re");
    assert_non_null(file);
    assert_int_equal(fscanf(file, "rchar: %" SCNd64, &bytes), 1);
    (void)fclose(file);
    return bytes;
}

static int64_t bytes_of_a_start(int units)
{
    struct ledger_fixture fixture;
    struct opening opening = {0};
    struct fault fault;
    ledger_fixture_create(&fixture);
    damage_room_make(&fixture, units, 60);
    const int64_t before = bytes_read();
    assert_string_equal(check(&fixture, &opening, &fault), "");
    const int64_t bytes = bytes_read() - before;
    ledger_fixture_destroy(&fixture);
    return bytes;
}

static void a_start_reads_no_more_from_a_large_ledger_than_from_a_small_one(void **state)
{
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip(); /* what the server reads is not seen here */
    const int64_t small = bytes_of_a_start(30), large = bytes_of_a_start(300); /* 1 830 and 18 300 movements */
    if (large > small + small / 4)
        fail_msg("%" PRId64 " bytes read from the small one, %" PRId64 " from the large one", small, large);
}

/* ---- the write-ahead log ---- */

enum { LOG_HEADER = 32, FRAME = 24 + 4096 }; /* SQLite file format, section 4 */

struct log_case {
    const char *what;
    void (*spoil)(const struct ledger_fixture *fixture);
    const char *says; /* NULL: nothing is wrong */
    bool torn;
    int movements; /* that are there after a start that says nothing; 0: do not look */
};

static void leave_alone(const struct ledger_fixture *fixture)
{
    (void)fixture;
}

static void zero_header(const struct ledger_fixture *fixture)
{
    static const uint8_t zeros[LOG_HEADER];
    damage_room_write(fixture, "-wal", 0, zeros, sizeof zeros);
}

static void flip(const struct ledger_fixture *fixture, const char *suffix, long at)
{
    uint8_t byte = 0;
    damage_room_read(fixture, suffix, at, &byte, 1);
    byte ^= 0x20;
    damage_room_write(fixture, suffix, at, &byte, 1);
}

static void flip_early_page(const struct ledger_fixture *fixture)
{
    flip(fixture, "-wal", LOG_HEADER + 2L * FRAME + 100);
}

static void flip_early_salt(const struct ledger_fixture *fixture)
{
    flip(fixture, "-wal", LOG_HEADER + 2L * FRAME + 9);
}

static void flip_in_last_commit(const struct ledger_fixture *fixture)
{
    flip(fixture, "-wal", damage_room_size(fixture, "-wal") - FRAME + 100);
}

static uint32_t end_of_frame(const struct ledger_fixture *fixture, long number) /* 0: more of it follows */
{
    uint8_t header[8];
    damage_room_read(fixture, "-wal", LOG_HEADER + (number - 1) * FRAME, header, sizeof header);
    return (uint32_t)header[4] << 24 | (uint32_t)header[5] << 16 | (uint32_t)header[6] << 8 | header[7];
}

/* An end of transaction that reads as none, with others behind it: no power cut does that. */
static void spoil_early_end(const struct ledger_fixture *fixture)
{
    static const uint8_t none[4];
    long number = (damage_room_size(fixture, "-wal") - LOG_HEADER) / FRAME - 1;
    while (end_of_frame(fixture, number) == 0) /* the end of the transaction before the last */
        number--;
    damage_room_write(fixture, "-wal", LOG_HEADER + (number - 1) * FRAME + 4, none, sizeof none);
}

static void append_garbage(const struct ledger_fixture *fixture)
{
    uint8_t garbage[3 * FRAME + 77];
    memset(garbage, 0xA5, sizeof garbage);
    damage_room_write(fixture, "-wal", damage_room_size(fixture, "-wal"), garbage, sizeof garbage);
}

static void cut_frame(const struct ledger_fixture *fixture) /* a kill in the middle of a write */
{
    uint8_t frame[FRAME];
    damage_room_read(fixture, "-wal", LOG_HEADER, frame, sizeof frame);
    damage_room_write(fixture, "-wal", damage_room_size(fixture, "-wal"), frame, FRAME / 2);
}

static void fill_with_zeros(const struct ledger_fixture *fixture)
{
    const long size = damage_room_size(fixture, "-wal");
    damage_room_cut(fixture, "-wal", 0);
    damage_room_cut(fixture, "-wal", size);
}

static void each_trouble_of_the_log_is_told_from_what_a_power_cut_leaves(void **state)
{
    static const struct log_case cases[] = {
        {"a good log", leave_alone, NULL, false, 5 + 20},
        {"garbage behind the last commit", append_garbage, NULL, false, 5 + 20},
        {"half a frame behind the last commit", cut_frame, NULL, false, 5 + 20},
        {"a bad byte in the last transaction", flip_in_last_commit, NULL, true, 5 + 19},
        {"no end of the transaction before the last", spoil_early_end, "-wal' is damaged at frame", false, 0},
        {"zeros for a header", zero_header, "-wal' is damaged in its header", false, 0},
        {"zeros for all of it", fill_with_zeros, "-wal' is damaged in its header", false, 0},
        {"a bad byte in an early page", flip_early_page, "-wal' is damaged at frame 3", false, 0},
        {"a bad byte in an early salt", flip_early_salt, "-wal' is damaged at frame 3", false, 0},
    };
    struct ledger_fixture fixture;
    struct opening opening = {0};
    struct fault fault;
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip();
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ledger_fixture_create(&fixture);
        damage_room_make(&fixture, CHILD_UNIT, 1); /* 5 movements */
        (void)damage_room_abandon(&fixture, 20);
        cases[i].spoil(&fixture);
        const long size = damage_room_size(&fixture, "-wal");
        const char *said = check(&fixture, &opening, &fault);
        const bool as_said = cases[i].says ? strstr(said, cases[i].says) && strstr(said, "newest backup") : !*said;
        if (!as_said || (!cases[i].says && opening.log_torn != cases[i].torn))
            fail_msg("%s: '%s', torn %d", cases[i].what, said, opening.log_torn);
        if (cases[i].says)
            assert_int_equal(damage_room_size(&fixture, "-wal"), size); /* kept for whoever looks into it */
        else
            assert_int_equal(damage_room_number(&fixture, "SELECT COUNT(*) FROM movement"), cases[i].movements);
        ledger_fixture_destroy(&fixture);
    }
}

/* Cuts the log behind a transaction of which a frame, not its last, has a sector's end behind the first eight bytes of
 * its header. Returns that frame; *before: how many transactions are whole before it. */
static long cut_behind_frame_across_sectors(const struct ledger_fixture *fixture, int *before)
{
    const long frames = (damage_room_size(fixture, "-wal") - LOG_HEADER) / FRAME;
    *before = 0;
    for (long number = 1; number < frames; number++) {
        if (end_of_frame(fixture, number) != 0)
            ++*before;
        else if ((LOG_HEADER + (number - 1) * FRAME + 8) % 512 == 0) {
            long last = number + 1;
            while (end_of_frame(fixture, last) == 0)
                last++;
            damage_room_cut(fixture, "-wal", LOG_HEADER + last * FRAME);
            return number;
        }
    }
    fail_msg("no frame of %ld has its header in two sectors", frames);
    return 0;
}

/* The power went while the last transaction was written. */
static void half_a_header_of_an_older_frame_is_no_lost_commit(void **state)
{
    static const uint8_t older[8] = {0, 0, 0, 2, 0, 0, 0, 40}; /* that one was the last of its transaction */
    uint8_t other[512];
    struct ledger_fixture fixture;
    struct opening opening = {0};
    struct fault fault;
    int before = 0;
    memset(other, 0xA5, sizeof other);
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip();
    for (int torn_page = 0; torn_page < 2; torn_page++) {
        ledger_fixture_create(&fixture);
        damage_room_make(&fixture, CHILD_UNIT, 1); /* 5 movements */
        (void)damage_room_abandon(&fixture, 60);
        const long at = LOG_HEADER + (cut_behind_frame_across_sectors(&fixture, &before) - 1) * FRAME;
        damage_room_write(&fixture, "-wal", at, older, sizeof older);
        if (torn_page)
            damage_room_write(&fixture, "-wal", at + 8 + 2 * 512L, other, sizeof other);
        const char *said = check(&fixture, &opening, &fault);
        /* Of a torn page nobody can say whether it was a commit: then it is damage, and said. */
        if (torn_page ? !*said : (*said || !opening.log_torn))
            fail_msg("torn page %d: '%s', torn %d", torn_page, said, opening.log_torn);
        if (!torn_page)
            assert_int_equal(damage_room_number(&fixture, "SELECT COUNT(*) FROM movement"), 5 + before);
        ledger_fixture_destroy(&fixture);
    }
}

static void checkpoint_and_keep(const struct ledger_fixture *fixture)
{
    sqlite3 *handle = NULL;
    assert_int_equal(sqlite3_open_v2(fixture->path, &handle, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    (void)sqlite3_db_config(handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    assert_int_equal(sqlite3_exec(handle, "PRAGMA wal_checkpoint(PASSIVE)", NULL, NULL, NULL), SQLITE_OK);
    (void)sqlite3_close(handle);
}

/* A checkpoint moved all of it; nobody wrote since. */
static void damage_in_a_log_that_the_file_holds_already_is_harmless(void **state)
{
    static void (*const spoils[])(const struct ledger_fixture *fixture) = {zero_header, flip_early_page,
                                                                           flip_early_salt};
    struct ledger_fixture fixture;
    struct opening opening = {0};
    struct fault fault;
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip();
    for (size_t i = 0; i < sizeof spoils / sizeof *spoils; i++) {
        ledger_fixture_create(&fixture);
        damage_room_make(&fixture, CHILD_UNIT, 1);
        (void)damage_room_abandon(&fixture, 20);
        checkpoint_and_keep(&fixture);
        assert_true(damage_room_size(&fixture, "-wal") > 20L * FRAME);
        spoils[i](&fixture);
        assert_string_equal(check(&fixture, &opening, &fault), "");
        assert_int_equal(damage_room_number(&fixture, "SELECT COUNT(*) FROM movement"), 5 + 20);
        ledger_fixture_destroy(&fixture);
    }
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(an_orderly_stop_leaves_no_trace),
        WITH_FIXTURE(a_stop_without_closing_is_said_with_the_number_of_the_process),
        WITH_FIXTURE(a_copy_of_file_and_log_without_the_lock_file_was_not_closed_either),
        WITH_FIXTURE(the_last_movements_of_a_good_ledger_agree),
        WITH_FIXTURE(a_thousand_movements_are_checked_and_no_more),
        cmocka_unit_test(damage_in_the_last_movements_is_named),
        cmocka_unit_test(a_start_reads_no_more_from_a_large_ledger_than_from_a_small_one),
        cmocka_unit_test(each_trouble_of_the_log_is_told_from_what_a_power_cut_leaves),
        cmocka_unit_test(half_a_header_of_an_older_frame_is_no_lost_commit),
        cmocka_unit_test(damage_in_a_log_that_the_file_holds_already_is_harmless),
    };
    return cmocka_run_group_tests_name("ledger/opening", tests, NULL, NULL);
}
