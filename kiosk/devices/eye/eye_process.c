#include "kiosk/devices/eye/eye_process.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "labels/basics/text.h"

enum { SOCKET_IN_WORKER = 3, FIRST_PAUSE_MS = 50, DOUBLINGS = 7 };

void eye_process_init(struct eye_process *process)
{
    *process = (struct eye_process){.socket_fd = -1};
}

int64_t eye_process_now_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

/* The socket first: it may itself sit on 0 or 1 when the kiosk was started without them. */
static int plan_descriptors(posix_spawn_file_actions_t *actions, int socket_fd)
{
    int error = posix_spawn_file_actions_adddup2(actions, socket_fd, SOCKET_IN_WORKER);
    if (!error)
        error = posix_spawn_file_actions_addopen(actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    if (!error)
        error = posix_spawn_file_actions_addopen(actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    if (!error)
        error = posix_spawn_file_actions_addclosefrom_np(actions, SOCKET_IN_WORKER + 1);
    return error;
}

static int plan_attributes(posix_spawnattr_t *attributes)
{
    sigset_t none, all;
    (void)sigemptyset(&none);
    (void)sigfillset(&all);
    int error =
        posix_spawnattr_setflags(attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
    if (!error)
        error = posix_spawnattr_setsigmask(attributes, &none);
    if (!error)
        error = posix_spawnattr_setsigdefault(attributes, &all);
    if (!error)
        error = posix_spawnattr_setpgroup(attributes, 0);
    return error;
}

static int spawn(const char *program_path, int socket_fd, pid_t *pid)
{
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    int error = posix_spawn_file_actions_init(&actions);
    if (error)
        return error;
    error = posix_spawnattr_init(&attributes);
    if (!error) {
        error = plan_descriptors(&actions, socket_fd);
        if (!error)
            error = plan_attributes(&attributes);
        char word[] = "eye";
        char *const arguments[] = {(char *)program_path, word, NULL};
        char *const environment[] = {NULL};
        if (!error)
            error = posix_spawn(pid, program_path, &actions, &attributes, arguments, environment);
        (void)posix_spawnattr_destroy(&attributes);
    }
    (void)posix_spawn_file_actions_destroy(&actions);
    return error;
}

static void grow_pause(struct eye_process *process)
{
    int64_t pause = process->early_deaths == 0 ? 0 : FIRST_PAUSE_MS;
    for (int i = 1; i < process->early_deaths && i < DOUBLINGS; i++)
        pause *= 2;
    process->not_before_ms = eye_process_now_ms() + (pause < EYE_LONGEST_PAUSE_MS ? pause : EYE_LONGEST_PAUSE_MS);
    if (process->early_deaths <= DOUBLINGS)
        process->early_deaths++;
}

bool eye_process_start(struct eye_process *process, const char *program_path, struct fault *fault)
{
    int ends[2] = {-1, -1};
    pid_t pid = 0;
    int error = socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) == 0 ? 0 : errno;
    if (!error)
        error = spawn(program_path, ends[1], &pid);
    if (ends[1] >= 0)
        (void)close(ends[1]);
    if (error) {
        if (ends[0] >= 0)
            (void)close(ends[0]);
        grow_pause(process);
        return fault_set(fault, FAULT_DEVICE,
                         "the picture reader '%s' cannot be started (%s): use the hand scanner and call for help",
                         program_path, strerror(error));
    }
    process->pid = pid;
    process->socket_fd = ends[0];
    return true;
}

void eye_process_praise(struct eye_process *process)
{
    process->early_deaths = 0;
    process->not_before_ms = 0;
}

static void describe(int status, struct builder *out)
{
    if (WIFSIGNALED(status)) {
        const char *word = sigdescr_np(WTERMSIG(status));
        builder_addf(out, "signal %d, %s", WTERMSIG(status), word ? word : "unknown");
    } else if (WIFEXITED(status)) {
        builder_addf(out, "exit status %d", WEXITSTATUS(status));
    }
}

void eye_process_end(struct eye_process *process, char *how, size_t size)
{
    struct builder out;
    builder_init(&out, how, size);
    if (process->pid > 0) {
        int status = 0;
        pid_t reaped = 0;
        (void)kill(process->pid, SIGKILL); /* one that has ended keeps its own status until it is reaped */
        do {
            reaped = waitpid(process->pid, &status, 0);
        } while (reaped < 0 && errno == EINTR);
        if (reaped == process->pid)
            describe(status, &out);
        grow_pause(process);
    }
    if (process->socket_fd >= 0)
        (void)close(process->socket_fd);
    process->pid = 0;
    process->socket_fd = -1;
}
