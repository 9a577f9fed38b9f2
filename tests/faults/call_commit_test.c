#include <dlfcn.h>
#include <errno.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/ledger/ledger.h"
#include "tests/faults/act_run.h"
#include "tests/faults/call_watch.h"
#include "tests/support/ledger_fixture.h"

/* A COMMIT whose answer is lost: it was made durable, or it was not, and the kiosk heard an error. Act 1 is the day's
 * first that books. */

enum { ACT = 1, LATER = 20, GROUP = 10, FOR_EVER = 1000000 };

/* ---- a COMMIT that takes place and reports an error ---- */

/* SQLite hands on what the hook answers: "an error … though the commit will have still occurred" (sqlite.org,
 * sqlite3_wal_hook). The driver's own hook is called first. */
static atomic_int reports_an_error;
static int (*driver_hook)(void *, sqlite3 *, const char *, int);

static int hook(void *context, sqlite3 *handle, const char *database, int pages)
{
    const int code = driver_hook(context, handle, database, pages);
    return atomic_fetch_sub(&reports_an_error, 1) > 0 ? SQLITE_IOERR : code;
}

void *sqlite3_wal_hook(sqlite3 *handle, int (*callback)(void *, sqlite3 *, const char *, int), void *context)
{
    void *(*next)(sqlite3 *, int (*)(void *, sqlite3 *, const char *, int), void *) = NULL;
    *(void **)&next = dlsym(RTLD_NEXT, "sqlite3_wal_hook");
    driver_hook = callback;
    return next(handle, hook, context);
}

/* ---- a run of the day ---- */

static void must_hold(const struct ledger_fixture *fixture, int answered, int doubtful, int expected)
{
    char sentence[ACT_RUN_SENTENCE] = "";
    int held = -1;
    if (!act_run_check(fixture->address, answered, doubtful, &held, sentence, sizeof sentence))
        fail_msg("%s", sentence);
    assert_int_equal(held, expected);
}

static void must_send(struct act_run *run, int number)
{
    struct fault fault = {FAULT_NONE, ""};
    if (!act_run_send(run, number, &fault))
        fail_msg("act %d: %s", number, fault.text);
}

static struct act_run *start(const struct ledger_fixture *fixture, int acts)
{
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = act_run_create(fixture->address);
    atomic_store(&reports_an_error, 0);
    if (!run || !act_run_open(run, &fault))
        fail_msg("%s", fault.text);
    for (int i = 0; i < acts; i++)
        must_send(run, i);
    return run;
}

/* A ledger that was opened once, and now again, watched; nothing fails yet. */
static struct act_run *start_watched(const struct ledger_fixture *fixture, int acts, enum call_fate fate, int error)
{
    const struct call_plan plan = {.fate = fate, .error = error};
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = start(fixture, acts);
    act_run_close(run);
    call_watch_start(fixture->folder, &plan);
    if (!act_run_open(run, &fault))
        fail_msg("%s", fault.text);
    return run;
}

/* ---- the tests ---- */

static void sync_fails_once(const struct ledger_fixture *fixture, enum call_fate fate)
{
    struct writer_counts counts;
    struct act_run *run = start_watched(fixture, ACT, fate, EIO);
    call_watch_fail_next(CALL_FDATASYNC, FILE_LOG, 1);
    must_send(run, ACT);
    act_run_read_counts(run, &counts);
    assert_int_equal(counts.commits_failed, 1);
    assert_int_equal(counts.repeated, 0);
    must_send(run, ACT);
    must_send(run, ACT + 1);
    call_watch_stop();
    act_run_destroy(run);
    must_hold(fixture, ACT + 2, 0, ACT + 2);
}

static void a_sync_that_fails_once_is_not_noticed_by_who_sent_the_act(void **state)
{
    sync_fails_once(*state, CALL_FAILS);
}

static void nor_one_that_was_done_and_reported_an_error(void **state)
{
    sync_fails_once(*state, CALL_FAILS_UNHEARD);
}

static void an_act_whose_commit_stays_unknown_is_told_so_and_done_once_when_it_is_sent_again(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = start_watched(fixture, ACT, CALL_FAILS, EIO);
    call_watch_fail_next(CALL_FDATASYNC, FILE_LOG, FOR_EVER);
    assert_false(act_run_send(run, ACT, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "it is not known whether act 'day-act-0001' was booked: send it again"));
    assert_null(strstr(fault.text, "nothing of this act was booked"));
    call_watch_mend();
    must_send(run, ACT);
    must_send(run, ACT);
    call_watch_stop();
    act_run_destroy(run);
    must_hold(fixture, ACT + 1, 0, ACT + 1);
}

/* The child is told "unknown" and is killed. What it had written is found in the log by the next start: had it been
 * told "nothing was booked", that would have been untrue. */
static void what_was_told_unknown_may_stand_after_a_kill_and_is_not_done_twice(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {FAULT_NONE, ""};
    int status = 0;
    const pid_t child = fork();
    if (child == 0) {
        struct ledger *reader = NULL;
        struct act_run *run = start_watched(fixture, LATER, CALL_FAILS, EIO);
        must_send(run, LATER);
        int64_t seq = 0;
        uint8_t hash[HASH_BYTES];
        /* a page that is being read: the log stays */
        if (!ledger_open(fixture->address, LEDGER_READER, &reader, &fault) || !ledger_begin(reader, &fault) ||
            !ledger_head(reader, &seq, hash, &fault))
            _exit(2);
        call_watch_fail_next(CALL_FDATASYNC, FILE_LOG, FOR_EVER);
        if (act_run_send(run, LATER + 1, &fault) || !strstr(fault.text, "it is not known whether"))
            _exit(3);
        (void)raise(SIGKILL);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    must_hold(fixture, LATER + 1, 1, LATER + 2); /* it is there, whole */
    struct act_run *run = start(fixture, 0);
    must_send(run, LATER + 1);
    must_send(run, LATER + 2);
    act_run_destroy(run);
    must_hold(fixture, LATER + 3, 0, LATER + 3);
}

static void a_commit_that_took_place_and_reported_an_error_is_found_by_its_id(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct writer_counts counts;
    struct act_run *run = start(fixture, LATER);
    atomic_store(&reports_an_error, 1);
    must_send(run, LATER);
    act_run_read_counts(run, &counts);
    assert_int_equal(counts.commits_failed, 1);
    assert_int_equal(counts.repeated, 0); /* it was ours */
    act_run_destroy(run);
    must_hold(fixture, LATER + 1, 0, LATER + 1);
}

static void every_commit_of_a_group_that_reports_an_error_is_found_by_its_acts_ids(void **state)
{
    const struct ledger_fixture *fixture = *state;
    bool answered[GROUP];
    struct fault faults[GROUP];
    struct act_run *run = start(fixture, LATER);
    atomic_store(&reports_an_error, FOR_EVER);
    act_run_send_group(run, LATER, GROUP, answered, faults);
    for (int i = 0; i < GROUP; i++)
        if (!answered[i])
            fail_msg("act %d: %s", LATER + i, faults[i].text);
    atomic_store(&reports_an_error, 0);
    act_run_destroy(run);
    must_hold(fixture, LATER + GROUP, 0, LATER + GROUP);
}

static void a_group_that_meets_a_full_disk_is_told_so_act_by_act_and_done_when_there_is_room(void **state)
{
    const struct ledger_fixture *fixture = *state;
    bool answered[GROUP];
    struct fault faults[GROUP];
    struct act_run *run = start_watched(fixture, LATER, CALL_FAILS, ENOSPC);
    call_watch_fail_next(CALL_PWRITE, FILE_LOG, FOR_EVER);
    act_run_send_group(run, LATER, GROUP, answered, faults);
    for (int i = 0; i < GROUP; i++) {
        if (answered[i] && act_run_is_kept(LATER + i))
            fail_msg("act %d was answered on a full disk", LATER + i);
        if (!answered[i] && !strstr(faults[i].text, "is full: free space"))
            fail_msg("act %d: %s", LATER + i, faults[i].text);
    }
    call_watch_mend();
    act_run_send_group(run, LATER, GROUP, answered, faults);
    for (int i = 0; i < GROUP; i++)
        if (!answered[i])
            fail_msg("act %d: %s", LATER + i, faults[i].text);
    call_watch_stop();
    act_run_destroy(run);
    must_hold(fixture, LATER + GROUP, 0, LATER + GROUP);
}

/* The number of the open with which SQLite opens the ledger: the first one makes the file, if there is none. */
static int find_open(struct act_run *run, const struct ledger_fixture *fixture)
{
    const struct call_plan plan = {.fate = CALL_COUNTED};
    struct fault fault = {FAULT_NONE, ""};
    int opens = 0;
    call_watch_start(fixture->folder, &plan);
    assert_true(act_run_open(run, &fault));
    act_run_close(run);
    call_watch_stop();
    for (int i = 1; i <= call_watch_count(); i++)
        if (call_watch_call(i).kind == CALL_OPEN && call_watch_call(i).file == FILE_LEDGER && ++opens == 2)
            return i;
    fail_msg("SQLite opened no ledger");
    return 0;
}

/* SQLite then opens it read-only and says nothing. */
static void a_ledger_that_may_only_be_read_is_told_at_once(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = start(fixture, LATER);
    act_run_close(run);
    const struct call_plan plan = {.at = find_open(run, fixture), .fate = CALL_FAILS, .error = EROFS};
    call_watch_start(fixture->folder, &plan);
    assert_false(act_run_open(run, &fault));
    assert_non_null(strstr(fault.text, "can be read but not written: let the kiosk's user write the file"));
    if (!act_run_open(run, &fault))
        fail_msg("%s", fault.text);
    must_send(run, LATER);
    call_watch_stop();
    act_run_destroy(run);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_sync_that_fails_once_is_not_noticed_by_who_sent_the_act),
        TEST(nor_one_that_was_done_and_reported_an_error),
        TEST(an_act_whose_commit_stays_unknown_is_told_so_and_done_once_when_it_is_sent_again),
        TEST(what_was_told_unknown_may_stand_after_a_kill_and_is_not_done_twice),
        TEST(a_commit_that_took_place_and_reported_an_error_is_found_by_its_id),
        TEST(every_commit_of_a_group_that_reports_an_error_is_found_by_its_acts_ids),
        TEST(a_ledger_that_may_only_be_read_is_told_at_once),
        TEST(a_group_that_meets_a_full_disk_is_told_so_act_by_act_and_done_when_there_is_room),
    };
    return cmocka_run_group_tests_name("faults/call_commit", tests, NULL, NULL);
}
