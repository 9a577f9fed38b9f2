#include <dirent.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/ledger/backup/backup_restore.h"
#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/backup_room.h"
#include "tests/ledger/booked_ledger.h"

/* A power cut or a kill at any moment: a child does the work, and dies just before the n-th call that changes
 * something on the disk. With AMBERSHELF_TEST_LONG=1 for every n, else for each of the last ones, where names change,
 * and for every SHORT_STEP-th before. */

enum { EXIT_WORKED = 0, EXIT_FAILED = 3, SHORT_STEP = 7, SHORT_LAST = 25, FOR_EVER = 1000000 };

static const struct restore_options options = {.now = {INT64_C(1771061400000)}, .forget = 1};

typedef bool work(const struct backup_room *room, struct fault *fault);

static bool changes_the_disk(long call, long flags)
{
    switch (call) {
    case SYS_write:
    case SYS_pwrite64:
    case SYS_ftruncate:
    case SYS_fsync:
    case SYS_fdatasync:
    case SYS_fallocate:
#ifdef SYS_rename
    case SYS_rename:
    case SYS_link:
    case SYS_unlink:
#endif
    case SYS_renameat:
    case SYS_renameat2:
    case SYS_linkat:
    case SYS_unlinkat:
        return true;
    case SYS_openat:
        return (flags & O_CREAT) != 0;
    default:
        return false;
    }
}

/* Sanitizers' own end-of-program work is not to be traced: _exit. */
static void child(const struct backup_room *room, work *does)
{
    struct fault fault = {0};
    if (ptrace(PTRACE_TRACEME, 0, NULL, NULL) != 0)
        _exit(EXIT_FAILED);
    (void)raise(SIGSTOP);
    if (does(room, &fault))
        _exit(EXIT_WORKED);
    (void)dprintf(STDERR_FILENO, "%s\n", fault.text);
    _exit(EXIT_FAILED);
}

/* Runs `does` in a child and kills it before its n-th change, counted from 1. True: it was killed; false: it had come
 * to its end by then, after `*changes` (may be NULL). */
static bool run_and_kill(const struct backup_room *room, work *does, int n, int *changes)
{
    int status = 0, seen = 0;
    const pid_t pid = fork();
    assert_true(pid >= 0);
    if (pid == 0)
        child(room, does);
    assert_int_equal(waitpid(pid, &status, 0), pid);
    if (!WIFSTOPPED(status))
        fail_msg("this machine lets nobody trace its own child: ptrace is needed");
    assert_int_equal(ptrace(PTRACE_SETOPTIONS, pid, NULL, PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL), 0);
    for (;;) {
        struct __ptrace_syscall_info info;
        assert_int_equal(ptrace(PTRACE_SYSCALL, pid, NULL, NULL), 0);
        assert_int_equal(waitpid(pid, &status, 0), pid);
        if (WIFEXITED(status)) {
            assert_int_equal(WEXITSTATUS(status), EXIT_WORKED);
            if (changes)
                *changes = seen;
            return false;
        }
        if (!WIFSTOPPED(status) || WSTOPSIG(status) != (SIGTRAP | 0x80))
            continue;
        assert_true(ptrace(PTRACE_GET_SYSCALL_INFO, pid, sizeof info, &info) > 0);
        if (info.op != PTRACE_SYSCALL_INFO_ENTRY || !changes_the_disk((long)info.entry.nr, (long)info.entry.args[2]) ||
            ++seen < n)
            continue;
        assert_int_equal(kill(pid, SIGKILL), 0);
        assert_int_equal(waitpid(pid, &status, 0), pid);
        assert_true(WIFSIGNALED(status));
        return true;
    }
}

static bool back_up(const struct backup_room *room, struct fault *fault)
{
    struct backup_facts facts;
    return backup_make(room->fixture.address, room->file, NULL, &facts, fault);
}

static bool restore(const struct backup_room *room, struct fault *fault)
{
    struct restore_report report;
    return backup_restore(room->fixture.address, room->file, &options, &report, fault);
}

static int after(int n, int changes)
{
    const char *how = getenv("AMBERSHELF_TEST_LONG");
    const bool is_long = how && strcmp(how, "1") == 0;
    return is_long || n + SHORT_STEP > changes - SHORT_LAST ? n + 1 : n + SHORT_STEP;
}

static void a_killed_backup_leaves_no_file_or_a_whole_one(void **state)
{
    const struct backup_room *room = *state;
    struct backup_facts facts, present;
    int kills = 0, changes = 0;
    assert_true(backup_look(room->fixture.address, &present, NULL));
    assert_false(run_and_kill(room, back_up, FOR_EVER, &changes));
    assert_int_equal(unlink(room->file), 0);
    for (int n = 1; run_and_kill(room, back_up, n, NULL); n = after(n, changes)) {
        struct fault fault = {0};
        kills++;
        if (access(room->file, F_OK) == 0) {
            if (!backup_check(room->file, &facts, &fault))
                fail_msg("before change %d: %s", n, fault.text);
            assert_memory_equal(facts.head, present.head, HASH_BYTES);
            assert_int_equal(unlink(room->file), 0);
        }
        backup_room_assert_clean(room->fixture.address, present.head); /* reading harms nothing */
    }
    assert_true(backup_check(room->file, &facts, NULL)); /* what the killed ones left was no hindrance */
    print_message("killed before %d of %d changes\n", kills, changes);
    assert_true(kills > 20);
}

/* The ledger as after an unclean stop: its newest movement stands in the log alone. */
struct before {
    unsigned char *file, *log;
    size_t file_length, log_length;
    uint8_t head[HASH_BYTES];
};

static void make_before(struct backup_room *room, struct before *before)
{
    struct movement movement;
    char log[600];
    struct ledger *ledger = ledger_fixture_open(&room->fixture, LEDGER_WRITER);
    assert_true(ledger_begin(ledger, NULL));
    ledger_fixture_book_as(ledger, "act-00000008", "H0000014", INT64_C(1771061400001));
    movement_init(&movement, MOVEMENT_CLOCK_CONFIRMED);
    assert_true(ledger_book(ledger, &movement, NULL));
    assert_true(ledger_commit(ledger, NULL));
    (void)snprintf(log, sizeof log, "%s-wal", room->fixture.path);
    before->file = backup_room_bytes(room->fixture.path, &before->file_length);
    before->log = backup_room_bytes(log, &before->log_length);
    memcpy(before->head, movement.hash, HASH_BYTES);
    ledger_close(ledger);
}

/* A fresh folder each time would be another ledger: what earlier ones put aside is removed. */
static void put_before(const struct backup_room *room, const struct before *before)
{
    char log[600];
    struct dirent **list = NULL;
    const int count = scandir(room->fixture.folder, &list, NULL, NULL);
    const int folder = open(room->fixture.folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    for (int i = 0; i < count; i++) {
        if (list[i]->d_name[0] != '.')
            assert_int_equal(unlinkat(folder, list[i]->d_name, 0), 0);
        free(list[i]);
    }
    free(list);
    assert_int_equal(close(folder), 0);
    backup_room_write(room->fixture.path, before->file, before->file_length);
    (void)snprintf(log, sizeof log, "%s-wal", room->fixture.path);
    backup_room_write(log, before->log, before->log_length);
}

static void a_killed_restore_leaves_the_old_ledger_or_the_new_one_whole(void **state)
{
    struct backup_room *room = *state;
    struct before before;
    struct backup_facts copy, now;
    int kills = 0, olds = 0, changes = 0;
    backup_room_copy(room, &copy);
    make_before(room, &before);
    put_before(room, &before);
    assert_false(run_and_kill(room, restore, FOR_EVER, &changes));
    put_before(room, &before);
    for (int n = 1; run_and_kill(room, restore, n, NULL); n = after(n, changes)) {
        struct fault fault = {0};
        kills++;
        if (!backup_look(room->fixture.address, &now, &fault))
            fail_msg("before change %d there is no ledger: %s", n, fault.text);
        const bool is_old = now.movements == BOOKED_MOVEMENTS + 1;
        backup_room_assert_clean(room->fixture.address, is_old ? before.head : copy.head);
        olds += is_old;
        /* the way back: the same command once more */
        struct restore_report report;
        struct restore_options again = options;
        again.forget = is_old ? 1 : 0;
        if (!backup_restore(room->fixture.address, room->file, &again, &report, &fault))
            fail_msg("before change %d: %s", n, fault.text);
        backup_room_assert_clean(room->fixture.address, copy.head);
        put_before(room, &before);
    }
    print_message("killed before %d of %d changes, %d times the old ledger was in place\n", kills, changes, olds);
    assert_true(olds > 20 && olds < kills);
    free(before.file);
    free(before.log);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, backup_room_setup, backup_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_killed_backup_leaves_no_file_or_a_whole_one),
        TEST(a_killed_restore_leaves_the_old_ledger_or_the_new_one_whole),
    };
    return cmocka_run_group_tests_name("ledger/backup_kill", tests, NULL, NULL);
}
