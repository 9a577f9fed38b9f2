#include "tests/faults/call_watch.h"

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/faults/act_run.h"
#include "tests/support/ledger_fixture.h"

/* Do the calls that are counted and made to fail really come by here? The witness is strace, which stands on the other
 * side, in the kernel. */

enum { SINGLE_ACTS = 30, GROUPED_ACTS = 10, NAMES = 32, EXIT_SKIPPED = 77 };

/* ---- what strace runs: the same program with --count ---- */

static bool live(struct act_run *run, struct fault *fault)
{
    bool answered[GROUPED_ACTS];
    struct fault faults[GROUPED_ACTS];
    if (!act_run_open(run, fault))
        return false;
    for (int i = 0; i < SINGLE_ACTS; i++)
        if (!act_run_send(run, i, fault))
            return false;
    act_run_send_group(run, SINGLE_ACTS, GROUPED_ACTS, answered, faults);
    act_run_close(run);
    return answered[GROUPED_ACTS - 1];
}

static int count(const char *folder)
{
    const struct call_plan plan = {.fate = CALL_COUNTED};
    char address[FIXTURE_TEXT_SIZE];
    struct fault fault = {FAULT_NONE, ""};
    (void)snprintf(address, sizeof address, "%s/ledger.db", folder);
    struct act_run *run = act_run_create(address);
    call_watch_start(folder, &plan);
    const bool fine = run && live(run, &fault);
    call_watch_stop();
    act_run_destroy(run);
    for (int i = 1; i <= call_watch_count(); i++)
        (void)printf("%s\n", call_kind_word((enum call_kind)call_watch_call(i).kind));
    if (!fine)
        (void)fprintf(stderr, "%s\n", fault.text);
    return fine ? 0 : 1;
}

/* ---- tallies of names ---- */

struct tally {
    char names[NAMES][24];
    int counts[NAMES], used;
};

/* One name for what kernels and libc call by several. */
static const char *common_name(const char *name)
{
    static const char *const same[][2] = {{"open", "openat"},     {"faccessat", "access"}, {"faccessat2", "access"},
                                          {"newfstatat", "stat"}, {"lstat", "stat"},       {"ftruncate64", "ftruncate"},
                                          {"unlinkat", "unlink"}, {"renameat2", "rename"}, {"readlinkat", "readlink"}};
    for (size_t i = 0; i < sizeof same / sizeof *same; i++)
        if (strcmp(name, same[i][0]) == 0)
            return same[i][1];
    return name;
}

static int *count_of(struct tally *tally, const char *name)
{
    int i = 0;
    while (i < tally->used && strcmp(tally->names[i], common_name(name)) != 0)
        i++;
    assert_true(i < NAMES);
    if (i == tally->used)
        (void)snprintf(tally->names[tally->used++], sizeof tally->names[0], "%s", common_name(name));
    return &tally->counts[i];
}

static void read_counted(const char *path, struct tally *tally)
{
    char line[64];
    FILE *in = fopen(path, "r");
    assert_non_null(in);
    while (fgets(line, sizeof line, in)) {
        line[strcspn(line, "\n")] = '\0';
        ++*count_of(tally, line);
    }
    (void)fclose(in);
}

/* "/a/b" stands in a line for itself or a file in it, not for "/a/b.txt". */
static bool names_folder(const char *line, const char *folder)
{
    const char *at = strstr(line, folder);
    return at && strchr("/\">", at[strlen(folder)]);
}

/* Lines like: 1234 pwrite64(5</dev/shm/x/ledger.db-wal>, "…", 24, 0) = 24 */
static void read_traced(const char *path, const char *folder, struct tally *tally)
{
    char *line = NULL, name[24];
    size_t room = 0;
    FILE *in = fopen(path, "r");
    assert_non_null(in);
    while (getline(&line, &room, in) > 0)
        if (names_folder(line, folder) && !strstr(line, " resumed>") && !strstr(line, "execve(") &&
            sscanf(line, "%*d %23[a-z0-9_](", name) == 1)
            ++*count_of(tally, name);
    free(line);
    (void)fclose(in);
}

static void strace_sees_the_same_calls_on_the_ledgers_files(void **state)
{
    const struct ledger_fixture *fixture = *state;
    char self[400] = "", command[1600], counted[FIXTURE_TEXT_SIZE + 20], traced[FIXTURE_TEXT_SIZE + 20];
    struct tally ours = {.used = 0}, theirs = {.used = 0};
    if (system("strace -f -y -o /dev/null true 2>/dev/null") != 0) {
        printf("skipped: strace is not here, or may not trace\n");
        skip();
    }
    assert_true(readlink("/proc/self/exe", self, sizeof self - 1) > 0);
    (void)snprintf(counted, sizeof counted, "%s.counted", fixture->folder);
    (void)snprintf(traced, sizeof traced, "%s.traced", fixture->folder);
    (void)snprintf(command, sizeof command, "strace -f -y -qq -o '%s' '%s' --count '%s' >'%s'", traced, self,
                   fixture->folder, counted);
    const int ended = system(command);
    if (ended == 0) {
        read_counted(counted, &ours);
        read_traced(traced, fixture->folder, &theirs);
    }
    (void)unlink(counted);
    (void)unlink(traced);
    assert_int_equal(ended, 0);
    *count_of(&theirs, "readlink") = *count_of(&ours, "readlink"); /* those of realpath are libc's own */
    *count_of(&theirs, "realpath") = *count_of(&ours, "realpath");
    for (int i = 0; i < theirs.used; i++)
        if (*count_of(&ours, theirs.names[i]) != theirs.counts[i])
            fail_msg("%s: %d calls came by here, strace saw %d", theirs.names[i], *count_of(&ours, theirs.names[i]),
                     theirs.counts[i]);
    for (int i = 0; i < ours.used; i++)
        assert_int_equal(*count_of(&theirs, ours.names[i]), ours.counts[i]);
    assert_true(*count_of(&ours, "pwrite64") > 30 && *count_of(&ours, "fdatasync") >= 20);
}

static void one_call_fails_and_the_next_does_not(void **state)
{
    const struct ledger_fixture *fixture = *state;
    const struct call_plan plan = {.at = 2, .fate = CALL_FAILS, .error = ENOSPC};
    char path[FIXTURE_TEXT_SIZE + 10];
    (void)snprintf(path, sizeof path, "%s/x", fixture->folder);
    call_watch_start(fixture->folder, &plan);
    FILE *elsewhere = tmpfile(); /* not in the folder: not counted */
    assert_non_null(elsewhere);
    assert_int_equal(access(path, F_OK), -1);
    assert_int_equal(errno, ENOENT);
    assert_false(call_watch_was_hit());
    assert_int_equal(access(path, F_OK), -1);
    assert_int_equal(errno, ENOSPC);
    assert_true(call_watch_was_hit());
    assert_int_equal(access(path, F_OK), -1);
    assert_int_equal(errno, ENOENT);
    assert_int_equal(call_watch_count(), 3);
    call_watch_stop();
    (void)fclose(elsewhere);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(int words, char **word)
{
    const struct CMUnitTest tests[] = {
        TEST(strace_sees_the_same_calls_on_the_ledgers_files),
        TEST(one_call_fails_and_the_next_does_not),
    };
    if (words == 3 && strcmp(word[1], "--count") == 0)
        return count(word[2]);
    return cmocka_run_group_tests_name("faults/call_watch", tests, NULL, NULL);
}
