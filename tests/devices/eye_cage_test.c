#include "kiosk/devices/eye/eye_cage.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* Each try runs in a child of its own, behind the same filter as the worker, and reports by its exit status. */
enum { DONE = 0, REFUSED_EPERM = 10, REFUSED_OTHERWISE = 11, NO_FILTER = 77 };

typedef long try_function(void);

static long try_open(void)
{
    return open("/etc/passwd", O_RDONLY | O_CLOEXEC);
}

static long try_create(void)
{
    return open("/tmp/ambershelf-eye-cage-test", O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
}

static long try_socket(void)
{
    return socket(AF_INET, SOCK_STREAM, 0);
}

static long try_fork(void)
{
    const pid_t pid = fork();
    if (pid == 0)
        _exit(0);
    return pid;
}

static long try_kill_parent(void)
{
    return kill(getppid(), 0);
}

static long try_code(void)
{
    return mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED ? -1 : 0;
}

static long try_unlink(void)
{
    return unlink("/tmp/ambershelf-eye-cage-test-that-is-not-there");
}

static long try_write_output(void)
{
    return write(STDOUT_FILENO, "", 0);
}

static long try_exec(void)
{
    char name[] = "true";
    char *const arguments[] = {name, NULL}, *const environment[] = {NULL};
    return execve("/bin/true", arguments, environment);
}

static long try_abort(void)
{
    abort();
}

/* What the worker needs. */
static long try_work(void)
{
    enum { MUCH = 64 * 1024 * 1024 };
    struct timespec now;
    volatile uint8_t *memory = malloc(MUCH);
    if (!memory || clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now) != 0)
        return -1;
    memory[MUCH - 1] = 1;
    free((void *)memory);
    return write(STDERR_FILENO, "", 0);
}

/* Status as of waitpid. */
static int run_caged(try_function *try)
{
    const pid_t pid = fork();
    assert_true(pid >= 0);
    if (pid == 0) {
        if (!eye_cage_enter(NULL))
            _exit(NO_FILTER);
        errno = 0;
        const long answer = try();
        _exit(answer >= 0 ? DONE : errno == EPERM ? REFUSED_EPERM : REFUSED_OTHERWISE);
    }
    int status = 0;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    return status;
}

static int run_caged_or_skip(try_function *try)
{
    const int status = run_caged(try);
    if (WIFEXITED(status) && WEXITSTATUS(status) == NO_FILTER) {
        print_message("no seccomp here (sanitizer build or kernel): not tested\n");
        skip();
    }
    return status;
}

static void the_filter_refuses_files_network_processes_and_code(void **state)
{
    (void)state;
    static const struct {
        try_function *try;
        const char *name;
    } cases[] = {
        {try_open, "open to read"}, {try_create, "open to create"},
        {try_socket, "socket"},     {try_fork, "fork"},
        {try_kill_parent, "kill"},  {try_code, "executable memory"},
        {try_unlink, "unlink"},     {try_write_output, "write to standard output"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const int status = run_caged_or_skip(cases[i].try);
        if (!WIFEXITED(status) || WEXITSTATUS(status) != REFUSED_EPERM)
            fail_msg("%s: status %x", cases[i].name, (unsigned)status);
    }
}

static void running_a_program_kills_at_once(void **state)
{
    (void)state;
    const int status = run_caged_or_skip(try_exec);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGSYS);
}

static void the_filter_leaves_what_reading_a_picture_needs(void **state)
{
    (void)state;
    int status = run_caged_or_skip(try_work);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), DONE);
    status = run_caged_or_skip(try_abort); /* a failed check in a library still ends with its own signal */
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGABRT);
}

static int limited(void)
{
    enum { KEEP = 40, OTHER = 9, AFTER = 41 };
    struct rlimit most;
    if (dup2(0, KEEP) < 0 || dup2(0, OTHER) < 0 || dup2(0, AFTER) < 0 || !eye_cage_limit(KEEP, NULL))
        return 1;
    if (fcntl(KEEP, F_GETFD) < 0 || fcntl(2, F_GETFD) < 0)
        return 2;
    if (fcntl(OTHER, F_GETFD) >= 0 || fcntl(AFTER, F_GETFD) >= 0)
        return 3;
    if (getrlimit(RLIMIT_CORE, &most) != 0 || most.rlim_max != 0)
        return 4;
    if (eye_cage_is_lenient())
        return 0;
    return malloc((size_t)2 * 1024 * 1024 * 1024) ? 5 : 0;
}

static void limits_leave_one_descriptor_and_no_great_memory(void **state)
{
    (void)state;
    const pid_t pid = fork();
    if (pid == 0)
        _exit(limited());
    int status = 0;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_filter_refuses_files_network_processes_and_code),
        cmocka_unit_test(running_a_program_kills_at_once),
        cmocka_unit_test(the_filter_leaves_what_reading_a_picture_needs),
        cmocka_unit_test(limits_leave_one_descriptor_and_no_great_memory),
    };
    return cmocka_run_group_tests_name("devices/eye_cage", tests, NULL, NULL);
}
