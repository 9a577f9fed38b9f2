#include "tests/devices/test_process.h"

#include <ftw.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static const char search_path[] = "/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin";

pid_t test_process_start(const char *const argv[], int *out)
{
    int ends[2] = {-1, -1};
    if (out && pipe(ends) != 0)
        return -1;
    const pid_t pid = fork();
    if (pid == 0) {
        prctl(PR_SET_PDEATHSIG, SIGTERM);
        if (out) {
            dup2(ends[1], STDOUT_FILENO);
            close(ends[0]);
            close(ends[1]);
        }
        setenv("PATH", search_path, 1);
        execvp(argv[0], (char *const *)argv);
        _exit(127);
    }
    if (out) {
        close(ends[1]);
        *out = ends[0];
    }
    return pid;
}

bool test_process_line(int fd, int milliseconds, char *line, size_t size)
{
    size_t length = 0;
    struct pollfd wait = {.fd = fd, .events = POLLIN};
    while (length + 1 < size && poll(&wait, 1, milliseconds) == 1 && read(fd, line + length, 1) == 1) {
        if (line[length] == '\n') {
            line[length] = '\0';
            return true;
        }
        length++;
    }
    line[length] = '\0';
    return false;
}

int test_process_wait(pid_t pid, int milliseconds)
{
    int status = 0;
    for (int waited = 0; waited <= milliseconds; waited += 10) {
        if (waitpid(pid, &status, WNOHANG) == pid)
            return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
        usleep(10 * 1000);
    }
    kill(pid, SIGKILL);
    waitpid(pid, &status, 0);
    return -1;
}

int test_process_stop(pid_t pid)
{
    kill(pid, SIGTERM);
    return test_process_wait(pid, 5000);
}

bool test_process_is_installed(const char *name)
{
    char paths[sizeof search_path], *rest = paths;
    memcpy(paths, search_path, sizeof search_path);
    for (const char *folder = strsep(&rest, ":"); folder; folder = strsep(&rest, ":")) {
        char path[256];
        if (snprintf(path, sizeof path, "%s/%s", folder, name) < (int)sizeof path && access(path, X_OK) == 0)
            return true;
    }
    return false;
}

int test_process_free_port(void)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof address;
    const int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const bool ok = fd >= 0 && bind(fd, (struct sockaddr *)&address, size) == 0 &&
                    getsockname(fd, (struct sockaddr *)&address, &size) == 0;
    if (fd >= 0)
        close(fd);
    return ok ? ntohs(address.sin_port) : -1;
}

static int remove_one(const char *path, const struct stat *status, int type, struct FTW *place)
{
    (void)status;
    (void)type;
    (void)place;
    return remove(path);
}

void test_process_remove(const char *folder)
{
    nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}
