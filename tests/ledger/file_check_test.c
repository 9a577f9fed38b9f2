#include "kiosk/ledger/file_check.h"

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/opening.h"
#include "kiosk/ledger/sql/sql.h"
#include "tests/ledger/booked_ledger.h"
#include "tests/ledger/damage_room.h"

enum { PAGE = 4096 };

static struct file_check_report run(const struct ledger_fixture *fixture, int64_t whole_bytes)
{
    struct file_check_report report = {0};
    struct fault fault = {0};
    struct file_check *check = file_check_create(fixture->address);
    assert_non_null(check);
    file_check_limit(check, whole_bytes);
    if (!file_check_run(check, &report, &fault))
        fail_msg("%s", fault.text);
    file_check_destroy(check);
    return report;
}

static void a_good_ledger_is_good_at_once_and_in_pieces(void **state)
{
    const struct ledger_fixture *fixture = *state;
    damage_room_make(fixture, 30, 50);
    for (int i = 0; i < 2; i++) {
        const struct file_check_report report = run(fixture, i == 0 ? FILE_CHECK_WHOLE : 0);
        if (report.state != FILE_CHECK_GOOD || report.movements != 3 + 30 * 51)
            fail_msg("%d: %s", report.state, report.sentence);
    }
}

static void an_empty_ledger_is_good(void **state)
{
    const struct ledger_fixture *fixture = *state;
    ledger_close(ledger_fixture_open(fixture, LEDGER_WRITER));
    assert_int_equal(run(fixture, FILE_CHECK_WHOLE).state, FILE_CHECK_GOOD);
    assert_int_equal(run(fixture, 0).state, FILE_CHECK_GOOD);
}

static void what_was_changed_behind_the_kiosk_is_found(void **state)
{
    static const struct {
        const char *sql, *says;
        bool in_pieces; /* seen then too */
    } cases[] = {
        {"UPDATE movement SET minutes = 7 WHERE seq = 9", "movement 9", true},
        {"DELETE FROM movement WHERE seq = 9", " 8", true},
        {"UPDATE erasable_text SET value = 'somebody else' WHERE value IS NOT NULL", "text ", true},
        {"UPDATE act_answer SET answer = '{' WHERE number = (SELECT MAX(number) FROM act_answer)", "stored answer",
         true},
        {"UPDATE unit SET amount_ul = 7 WHERE serial = (SELECT MAX(serial) FROM unit)", "unit", false},
    };
    struct ledger_fixture made, copy;
    (void)state;
    ledger_fixture_create(&made);
    damage_room_make(&made, 5, 20);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ledger_fixture_copy(&copy, &made);
        booked_ledger_tamper(&copy, cases[i].sql);
        for (int pieces = ledger_fixture_is_postgresql(); pieces <= (int)cases[i].in_pieces; pieces++) {
            const struct file_check_report report = run(&copy, pieces ? 0 : FILE_CHECK_WHOLE);
            if (report.state != FILE_CHECK_DAMAGED || !strstr(report.sentence, cases[i].says))
                fail_msg("%s: %d '%s'", cases[i].sql, report.state, report.sentence);
        }
        ledger_fixture_destroy(&copy);
    }
    ledger_fixture_destroy(&made);
}

/* ---- an index alone ---- */

/* The way back that the sentence names, by the sqlite3 program. */
static void make_anew(const struct ledger_fixture *fixture)
{
    char command[5 * FIXTURE_TEXT_SIZE];
    (void)snprintf(command, sizeof command, "sqlite3 '%s' .dump | sqlite3 '%s.new' && mv '%s.new' '%s'", fixture->path,
                   fixture->path, fixture->path, fixture->path);
    assert_int_equal(system(command), 0); // NOLINT(cert-env33-c): the test's own path
}

static void damage_in_an_index_alone_is_named_as_such(void **state)
{
    static const char *const indexes[] = {"movement_by_unit", "act_by_id", "unit_by_place"};
    struct ledger_fixture made, copy;
    char sql[200], words[80];
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip(); /* its pages are the server's own affair */
    ledger_fixture_create(&made);
    damage_room_make(&made, 30, 50);
    for (size_t i = 0; i < sizeof indexes / sizeof *indexes; i++) {
        uint8_t rubbish[64];
        memset(rubbish, 0xA5, sizeof rubbish);
        (void)snprintf(sql, sizeof sql, "SELECT MIN(pageno) FROM dbstat WHERE name = '%s' AND pagetype = 'leaf'",
                       indexes[i]);
        const long page = damage_room_number(&made, sql);
        ledger_fixture_copy(&copy, &made);
        damage_room_write(&copy, "", page * PAGE - 400, rubbish, sizeof rubbish); /* keys stand at a page's end */
        (void)snprintf(words, sizeof words, "only in its index %s", indexes[i]);
        const struct file_check_report report = run(&copy, FILE_CHECK_WHOLE);
        if (report.state != FILE_CHECK_INDEX || !strstr(report.sentence, words))
            fail_msg("%s: %d '%s'", indexes[i], report.state, report.sentence);
        make_anew(&copy);
        assert_int_equal(run(&copy, FILE_CHECK_WHOLE).state, FILE_CHECK_GOOD);
        ledger_fixture_destroy(&copy);
    }
    ledger_fixture_destroy(&made);
}

static void an_index_without_its_entries_is_found_in_pieces_too(void **state)
{
    const struct ledger_fixture *fixture = *state;
    if (ledger_fixture_is_postgresql())
        skip();
    damage_room_make(fixture, 30, 50);
    /* a page of the index is put in the place of another: sound in itself, but entries are missing */
    const long one =
        damage_room_number(fixture, "SELECT MIN(pageno) FROM dbstat WHERE name = 'act_by_id' AND pagetype = 'leaf'");
    uint8_t page[PAGE] = {0};
    page[0] = 10; /* SQLite file format, section 1.6: a leaf of an index, without cells */
    page[5] = PAGE >> 8;
    damage_room_write(fixture, "", (one - 1) * PAGE, page, sizeof page);
    const struct file_check_report report = run(fixture, 0);
    assert_int_equal(report.state, FILE_CHECK_INDEX);
    assert_non_null(strstr(report.sentence, "act_by_id"));
}

/* ---- stopping, giving way ---- */

struct runner {
    struct file_check *check;
    struct file_check_report report;
    struct fault fault;
    bool fine;
};

static void *run_in_thread(void *context)
{
    struct runner *runner = context;
    runner->fine = file_check_run(runner->check, &runner->report, &runner->fault);
    return NULL;
}

static void a_check_that_is_stopped_ends_without_an_answer(void **state)
{
    const struct ledger_fixture *fixture = *state;
    damage_room_make(fixture, 30, 50);
    for (int pieces = 0; pieces < 2; pieces++) {
        struct runner runner = {.check = file_check_create(fixture->address)};
        file_check_limit(runner.check, pieces ? 0 : FILE_CHECK_WHOLE);
        file_check_stop(runner.check); /* before it begins: no race in the test */
        (void)run_in_thread(&runner);
        assert_false(runner.fine);
        assert_int_equal(runner.fault.code, FAULT_BUSY);
        file_check_destroy(runner.check);
    }
}

static void a_check_stopped_in_the_middle_ends(void **state)
{
    const struct ledger_fixture *fixture = *state;
    pthread_t thread;
    damage_room_make(fixture, 60, 100);
    struct runner runner = {.check = file_check_create(fixture->address)};
    file_check_limit(runner.check, 0);
    assert_int_equal(pthread_create(&thread, NULL, run_in_thread, &runner), 0);
    file_check_stop(runner.check);
    assert_int_equal(pthread_join(thread, NULL), 0);
    if (!runner.fine) /* else it was quicker than we */
        assert_int_equal(runner.fault.code, FAULT_BUSY);
    file_check_destroy(runner.check);
}

static void a_check_that_gives_way_goes_on_after(void **state)
{
    const struct ledger_fixture *fixture = *state;
    damage_room_make(fixture, 30, 50);
    struct runner runner = {.check = file_check_create(fixture->address)};
    file_check_give_way(runner.check);
    (void)run_in_thread(&runner);
    assert_true(runner.fine);
    assert_int_equal(runner.report.state, FILE_CHECK_GOOD);
    file_check_destroy(runner.check);
}

/* ---- bytes that flip ---- */

static uint64_t seed = UINT64_C(20260214);

static long chance(long below) /* splitmix64, so that each run has the same places */
{
    uint64_t mixed = (seed += UINT64_C(0x9E3779B97F4A7C15));
    mixed = (mixed ^ (mixed >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    mixed = (mixed ^ (mixed >> 27)) * UINT64_C(0x94D049BB133111EB);
    return (long)((mixed ^ (mixed >> 31)) % (uint64_t)below);
}

static void spoil_byte(const struct ledger_fixture *fixture, long at)
{
    uint8_t byte = 0;
    damage_room_read(fixture, "", at, &byte, 1);
    byte ^= (uint8_t)(1 + chance(255));
    damage_room_write(fixture, "", at, &byte, 1);
}

static void spoil(const struct ledger_fixture *fixture, int way, char what[120])
{
    static const uint8_t zeros[PAGE];
    uint8_t rubbish[100];
    const long size = damage_room_size(fixture, ""), at = chance(size - PAGE), page = chance(size / PAGE);
    switch (way) {
    case 0: /* anywhere */
    case 1:
        (void)snprintf(what, 120, "a byte at %ld of %ld", at, size);
        spoil_byte(fixture, at);
        break;
    case 2: /* in the head of a page: kind, cells, free space */
        (void)snprintf(what, 120, "a byte in the head of page %ld", page + 1);
        spoil_byte(fixture, page * PAGE + (page == 0 ? 100 : 0) + chance(12));
        break;
    case 3:
        (void)snprintf(what, 120, "a hundred bytes at %ld of %ld", at, size);
        for (size_t i = 0; i < sizeof rubbish; i++)
            rubbish[i] = (uint8_t)chance(256);
        damage_room_write(fixture, "", at, rubbish, sizeof rubbish);
        break;
    case 4:
        (void)snprintf(what, 120, "zeros for page %ld", page + 1);
        damage_room_write(fixture, "", page * PAGE, zeros, sizeof zeros);
        break;
    case 5:
        (void)snprintf(what, 120, "cut to %ld of %ld", at, size);
        damage_room_cut(fixture, "", at);
        break;
    default:
        (void)snprintf(what, 120, "a byte in the file's header");
        spoil_byte(fixture, chance(100));
        break;
    }
}

/* By the start, else by the check of the whole file. */
static bool is_found(const struct ledger_fixture *fixture, char said[FAULT_TEXT_SIZE], bool *at_start)
{
    struct ledger *ledger = NULL;
    struct opening opening = {0};
    struct fault fault = {FAULT_NONE, ""};
    bool fine = ledger_open(fixture->address, LEDGER_WRITER, &ledger, &fault);
    if (fine) {
        opening_look(ledger, &opening);
        fine = opening_check(ledger, &opening, &fault);
        ledger_close(ledger);
    }
    *at_start = !fine;
    memcpy(said, fault.text, FAULT_TEXT_SIZE);
    if (!fine)
        return true;
    const struct file_check_report report = run(fixture, FILE_CHECK_WHOLE);
    memcpy(said, report.sentence, FAULT_TEXT_SIZE);
    return report.state >= FILE_CHECK_INDEX;
}

/* Stored answers have no check of their own: a letter in one may differ. All else must be as it was. */
static bool is_the_same_but_for_answers(const struct ledger_fixture *one, const struct ledger_fixture *other)
{
    size_t length = 0, other_length = 0;
    char *text = booked_ledger_export(one->address, &length),
         *other_text = booked_ledger_export(other->address, &other_length);
    char *rest = NULL, *other_rest = NULL;
    const char *line = strtok_r(text, "\n", &rest), *other_line = strtok_r(other_text, "\n", &other_rest);
    bool same = true;
    for (; same && line && other_line;
         line = strtok_r(NULL, "\n", &rest), other_line = strtok_r(NULL, "\n", &other_rest))
        same = strcmp(line, other_line) == 0 || (strstr(line, "\"answer\"") && strstr(other_line, "\"answer\""));
    same = same && !line && !other_line;
    free(text);
    free(other_text);
    return same;
}

enum { WAYS = 7, ROUNDS = 20 };

static void each_of_many_damages_is_said_or_harmless(void **state)
{
    struct ledger_fixture made, copy;
    struct verify_report verified;
    struct fault fault = {0};
    int found = 0, at_start = 0, harmless = 0;
    (void)state;
    if (ledger_fixture_is_postgresql())
        skip();
    ledger_fixture_create(&made);
    damage_room_make(&made, 20, 40);
    for (int i = 0; i < WAYS * ROUNDS; i++) {
        char what[120], said[FAULT_TEXT_SIZE];
        bool early = false, clean = false;
        ledger_fixture_copy(&copy, &made);
        spoil(&copy, i % WAYS, what);
        if (is_found(&copy, said, &early)) {
            found++;
            at_start += early;
            if (strlen(said) < 40 || !strstr(said, copy.path))
                fail_msg("%s: said only '%s'", what, said);
        } else {
            harmless++;
            if (!ledger_verify(copy.address, &verified, &clean, &fault) || !clean ||
                !is_the_same_but_for_answers(&made, &copy))
                fail_msg("%s: nobody said so (%s%s)", what, fault.text, verified.sentence);
        }
        ledger_fixture_destroy(&copy);
    }
    print_message("%d damages: %d found, %d of them before the first act; %d harmless\n", found + harmless, found,
                  at_start, harmless);
    assert_true(found >= WAYS * ROUNDS / 2); /* else the test damages next to nothing */
    ledger_fixture_destroy(&made);
}

#define WITH_FIXTURE(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_FIXTURE(a_good_ledger_is_good_at_once_and_in_pieces),
        WITH_FIXTURE(an_empty_ledger_is_good),
        cmocka_unit_test(what_was_changed_behind_the_kiosk_is_found),
        cmocka_unit_test(damage_in_an_index_alone_is_named_as_such),
        WITH_FIXTURE(an_index_without_its_entries_is_found_in_pieces_too),
        WITH_FIXTURE(a_check_that_is_stopped_ends_without_an_answer),
        WITH_FIXTURE(a_check_stopped_in_the_middle_ends),
        WITH_FIXTURE(a_check_that_gives_way_goes_on_after),
        cmocka_unit_test(each_of_many_damages_is_said_or_harmless),
    };
    return cmocka_run_group_tests_name("ledger/file_check", tests, NULL, NULL);
}
