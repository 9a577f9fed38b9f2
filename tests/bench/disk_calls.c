#include "tests/bench/disk_calls.h"

#include <dlfcn.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <time.h>
#include <unistd.h>

static _Atomic int64_t syncs, log_bytes;

struct disk_calls disk_calls_read(void)
{
    return (struct disk_calls){atomic_load(&syncs), atomic_load(&log_bytes)};
}

/* A log is looked up once; what is none again and again, for its numbers may come to mean a log. */
static bool is_log(int file)
{
    enum { FILES = 256 };
    static struct {
        dev_t device;
        ino_t number;
        bool log;
    } known[FILES]; /* one thread writes a file */
    struct stat status;
    if (file >= FILES || fstat(file, &status) != 0)
        return false;
    if (!known[file].log || known[file].number != status.st_ino || known[file].device != status.st_dev) {
        char link[32], path[512];
        (void)snprintf(link, sizeof link, "/proc/self/fd/%d", file);
        const ssize_t length = readlink(link, path, sizeof path);
        known[file].device = status.st_dev;
        known[file].number = status.st_ino;
        known[file].log = length > 4 && memcmp(path + length - 4, "-wal", 4) == 0;
    }
    return known[file].log;
}

static void wait_for_disk(void)
{
    const char *text = getenv("AMBERSHELF_BENCH_SYNC_US");
    struct timespec left = {.tv_nsec = text ? strtol(text, NULL, 10) * 1000 : 0};
    while (left.tv_nsec > 0 && nanosleep(&left, &left) != 0)
        ;
}

/* NOLINTBEGIN(readability-inconsistent-declaration-parameter-name): libc's names begin with two underscores */
int fdatasync(int file)
{
    int (*next)(int) = (int (*)(int))dlsym(RTLD_NEXT, "fdatasync");
    atomic_fetch_add(&syncs, 1);
    wait_for_disk();
    return next(file);
}

int fsync(int file)
{
    int (*next)(int) = (int (*)(int))dlsym(RTLD_NEXT, "fsync");
    atomic_fetch_add(&syncs, 1);
    wait_for_disk();
    return next(file);
}

ssize_t pwrite64(int file, const void *bytes, size_t count, off64_t at)
{
    ssize_t (*next)(int, const void *, size_t, off64_t) =
        (ssize_t(*)(int, const void *, size_t, off64_t))dlsym(RTLD_NEXT, "pwrite64");
    const ssize_t written = next(file, bytes, count, at);
    if (written > 0 && is_log(file))
        atomic_fetch_add(&log_bytes, written);
    return written;
}
/* NOLINTEND(readability-inconsistent-declaration-parameter-name) */
