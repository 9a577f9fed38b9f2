#include "tests/faults/call_watch.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>
#include <utime.h>

enum { DESCRIPTORS = 1024, FOLDER_SIZE = 200, NOT_WATCHED = -1 };

static struct {
    atomic_bool on;
    char folder[FOLDER_SIZE];
    size_t length;
    struct call_plan plan;
    atomic_int count, left; /* left: failures still to come */
    atomic_bool hit;
    enum call_kind hit_kind;
    int hit_file;
    struct call calls[CALLS_KEPT];
    signed char files[DESCRIPTORS]; /* which file a descriptor is of, plus one; 0: none of ours */
} watch;

const char *call_kind_word(enum call_kind kind)
{
    static const char *const words[] = {
#define X(name, word) word,
        CALLS(X)
#undef X
    };
    return words[kind];
}

const char *call_file_word(enum call_file file)
{
    static const char *const words[] = {"ledger", "log", "index", "lock file", "journal", "folder"};
    _Static_assert(sizeof words / sizeof *words == CALL_FILES, "one word a file");
    return words[file];
}

/* ---- which calls ---- */

static bool ends_with(const char *path, const char *tail)
{
    const size_t length = strlen(path), size = strlen(tail);
    return length >= size && strcmp(path + length - size, tail) == 0;
}

static int file_of_path(const char *path)
{
    if (!atomic_load(&watch.on) || !path || strncmp(path, watch.folder, watch.length) != 0 ||
        (path[watch.length] != '/' && path[watch.length] != '\0'))
        return NOT_WATCHED;
    if (path[watch.length] == '\0')
        return FILE_FOLDER;
    return ends_with(path, "-wal")       ? FILE_LOG
           : ends_with(path, "-shm")     ? FILE_INDEX
           : ends_with(path, ".lock")    ? FILE_LOCK
           : ends_with(path, "-journal") ? FILE_JOURNAL
                                         : FILE_LEDGER;
}

static int file_of(int descriptor)
{
    return atomic_load(&watch.on) && descriptor >= 0 && descriptor < DESCRIPTORS ? watch.files[descriptor] - 1
                                                                                 : NOT_WATCHED;
}

static void die(void)
{
    (void)syscall(SYS_kill, (long)getpid(), (long)SIGKILL);
    for (;;)
        (void)pause();
}

/* ---- what becomes of one ---- */

enum step { GO, FAIL, HALF, HALF_AND_FAIL, GO_AND_FAIL };

static enum step step_of(enum call_fate fate)
{
    switch (fate) {
    case CALL_KILLED:
        die();
        return FAIL;
    case CALL_KILLED_HALF:
        return HALF;
    case CALL_FAILS:
        return FAIL;
    case CALL_FAILS_HALF:
        return HALF_AND_FAIL;
    case CALL_FAILS_UNHEARD:
        return GO_AND_FAIL;
    case CALL_COUNTED:
        break;
    }
    return GO;
}

static enum step arrive(enum call_kind kind, int file, size_t bytes)
{
    if (file == NOT_WATCHED)
        return GO;
    const int number = atomic_fetch_add(&watch.count, 1) + 1;
    if (number <= CALLS_KEPT)
        watch.calls[number - 1] = (struct call){(unsigned char)kind, (unsigned char)file, bytes > 1};
    if (number == watch.plan.at) {
        watch.hit_kind = kind;
        watch.hit_file = file;
        atomic_store(&watch.hit, true);
        atomic_store(&watch.left, watch.plan.lasting > 1 ? watch.plan.lasting - 1 : 0);
        return step_of(watch.plan.fate);
    }
    if (atomic_load(&watch.left) > 0 && kind == watch.hit_kind && file == watch.hit_file) {
        atomic_fetch_sub(&watch.left, 1);
        return step_of(watch.plan.fate);
    }
    return GO;
}

static long fail(void)
{
    errno = watch.plan.error;
    return -1;
}

/* The call itself, unless it is not to be; `go` is what the kernel said. */
#define UNLESS_FAILING(step, call) ((step) == FAIL ? fail() : (step) == GO ? (call) : ((void)(call), fail()))

/* ---- the calls ---- */
/* NOLINTBEGIN(readability-inconsistent-declaration-parameter-name): libc's names begin with two underscores */

static int open_file(const char *path, int flags, mode_t mode)
{
    const int file = file_of_path(path);
    const enum step step = arrive(CALL_OPEN, file, 0);
    if (step == FAIL)
        return (int)fail();
    const int descriptor = (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
    if (step != GO) {
        if (descriptor >= 0)
            (void)syscall(SYS_close, descriptor);
        return (int)fail();
    }
    if (descriptor >= 0 && descriptor < DESCRIPTORS)
        watch.files[descriptor] = (signed char)(file + 1);
    return descriptor;
}

static bool has_mode(int flags)
{
    return (flags & O_CREAT) || (flags & O_TMPFILE) == O_TMPFILE;
}

int open(const char *path, int flags, ...)
{
    va_list arguments;
    va_start(arguments, flags);
    const mode_t mode = has_mode(flags) ? va_arg(arguments, mode_t) : 0; /* NOLINT: it was started */
    va_end(arguments);
    return open_file(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
    va_list arguments;
    va_start(arguments, flags);
    const mode_t mode = has_mode(flags) ? va_arg(arguments, mode_t) : 0; /* NOLINT: it was started */
    va_end(arguments);
    return open_file(path, flags, mode);
}

int close(int descriptor)
{
    const int file = file_of(descriptor);
    const enum step step = arrive(CALL_CLOSE, file, 0);
    if (descriptor >= 0 && descriptor < DESCRIPTORS)
        watch.files[descriptor] = 0;
    const int closed = (int)syscall(SYS_close, descriptor); /* whatever Linux answers, it is closed */
    return step == GO ? closed : (int)fail();
}

int access(const char *path, int mode)
{
    const enum step step = arrive(CALL_ACCESS, file_of_path(path), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_faccessat, AT_FDCWD, path, mode));
}

int stat(const char *restrict path, struct stat *restrict about)
{
    const enum step step = arrive(CALL_STAT, file_of_path(path), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_newfstatat, AT_FDCWD, path, about, 0));
}

int stat64(const char *restrict path, struct stat64 *restrict about)
{
    const enum step step = arrive(CALL_STAT, file_of_path(path), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_newfstatat, AT_FDCWD, path, about, 0));
}

int lstat64(const char *restrict path, struct stat64 *restrict about)
{
    const enum step step = arrive(CALL_LSTAT, file_of_path(path), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_newfstatat, AT_FDCWD, path, about, AT_SYMLINK_NOFOLLOW));
}

int fstat(int descriptor, struct stat *about)
{
    const enum step step = arrive(CALL_FSTAT, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fstat, descriptor, about));
}

int fstat64(int descriptor, struct stat64 *about)
{
    const enum step step = arrive(CALL_FSTAT, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fstat, descriptor, about));
}

ssize_t readlink(const char *restrict path, char *restrict text, size_t size)
{
    const enum step step = arrive(CALL_READLINK, file_of_path(path), 0);
    return UNLESS_FAILING(step, syscall(SYS_readlinkat, AT_FDCWD, path, text, size));
}

char *realpath(const char *restrict path, char *restrict resolved)
{
    char *(*next)(const char *, char *) = NULL;
    const enum step step = arrive(CALL_REALPATH, file_of_path(path), 0);
    *(void **)&next = dlsym(RTLD_NEXT, "realpath");
    if (step == GO)
        return next(path, resolved);
    (void)fail();
    return NULL;
}

ssize_t read(int descriptor, void *bytes, size_t length)
{
    const enum step step = arrive(CALL_READ, file_of(descriptor), 0);
    return UNLESS_FAILING(step, syscall(SYS_read, descriptor, bytes, length));
}

static ssize_t pread_file(int descriptor, void *bytes, size_t length, off64_t at)
{
    const enum step step = arrive(CALL_PREAD, file_of(descriptor), 0);
    return UNLESS_FAILING(step, syscall(SYS_pread64, descriptor, bytes, length, at));
}

ssize_t pread(int descriptor, void *bytes, size_t length, off_t at)
{
    return pread_file(descriptor, bytes, length, at);
}

ssize_t pread64(int descriptor, void *bytes, size_t length, off64_t at)
{
    return pread_file(descriptor, bytes, length, at);
}

ssize_t write(int descriptor, const void *bytes, size_t length)
{
    const enum step step = arrive(CALL_WRITE, file_of(descriptor), length);
    if (step == HALF || step == HALF_AND_FAIL)
        (void)syscall(SYS_write, descriptor, bytes, length / 2);
    if (step == HALF)
        die();
    if (step == HALF_AND_FAIL)
        return fail();
    return UNLESS_FAILING(step, syscall(SYS_write, descriptor, bytes, length));
}

static ssize_t pwrite_file(int descriptor, const void *bytes, size_t length, off64_t at)
{
    const enum step step = arrive(CALL_PWRITE, file_of(descriptor), length);
    if (step == HALF || step == HALF_AND_FAIL)
        (void)syscall(SYS_pwrite64, descriptor, bytes, length / 2, at);
    if (step == HALF)
        die();
    if (step == HALF_AND_FAIL)
        return fail();
    return UNLESS_FAILING(step, syscall(SYS_pwrite64, descriptor, bytes, length, at));
}

ssize_t pwrite(int descriptor, const void *bytes, size_t length, off_t at)
{
    return pwrite_file(descriptor, bytes, length, at);
}

ssize_t pwrite64(int descriptor, const void *bytes, size_t length, off64_t at)
{
    return pwrite_file(descriptor, bytes, length, at);
}

int fsync(int descriptor)
{
    const enum step step = arrive(CALL_FSYNC, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fsync, descriptor));
}

int fdatasync(int descriptor)
{
    const enum step step = arrive(CALL_FDATASYNC, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fdatasync, descriptor));
}

int ftruncate(int descriptor, off_t length)
{
    const enum step step = arrive(CALL_FTRUNCATE, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_ftruncate, descriptor, length));
}

int ftruncate64(int descriptor, off64_t length)
{
    const enum step step = arrive(CALL_FTRUNCATE, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_ftruncate, descriptor, length));
}

int fallocate(int descriptor, int mode, off_t at, off_t length)
{
    const enum step step = arrive(CALL_FALLOCATE, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fallocate, descriptor, mode, at, length));
}

static int fcntl_file(int descriptor, int command, void *argument)
{
    const enum step step = arrive(CALL_FCNTL, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fcntl, descriptor, command, argument));
}

int fcntl(int descriptor, int command, ...)
{
    va_list arguments;
    va_start(arguments, command);
    void *argument = va_arg(arguments, void *);
    va_end(arguments);
    return fcntl_file(descriptor, command, argument);
}

int fcntl64(int descriptor, int command, ...)
{
    va_list arguments;
    va_start(arguments, command);
    void *argument = va_arg(arguments, void *);
    va_end(arguments);
    return fcntl_file(descriptor, command, argument);
}

int flock(int descriptor, int operation)
{
    const enum step step = arrive(CALL_FLOCK, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_flock, descriptor, operation));
}

int fchmod(int descriptor, mode_t mode)
{
    const enum step step = arrive(CALL_FCHMOD, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fchmod, descriptor, mode));
}

int fchown(int descriptor, uid_t user, gid_t group)
{
    const enum step step = arrive(CALL_FCHOWN, file_of(descriptor), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_fchown, descriptor, user, group));
}

int utime(const char *path, const struct utimbuf *times)
{
    int (*next)(const char *, const struct utimbuf *) = NULL;
    const enum step step = arrive(CALL_UTIME, file_of_path(path), 0);
    *(void **)&next = dlsym(RTLD_NEXT, "utime");
    return (int)UNLESS_FAILING(step, next(path, times));
}

static void *mmap_file(void *at, size_t length, int protection, int flags, int descriptor, off64_t offset)
{
    const enum step step = flags & MAP_ANONYMOUS ? GO : arrive(CALL_MMAP, file_of(descriptor), 0);
    if (step != GO) {
        (void)fail();
        return MAP_FAILED;
    }
    return (void *)syscall(SYS_mmap, at, length, protection, flags, descriptor, offset); /* NOLINT: as libc does */
}

void *mmap(void *at, size_t length, int protection, int flags, int descriptor, off_t offset)
{
    return mmap_file(at, length, protection, flags, descriptor, offset);
}

void *mmap64(void *at, size_t length, int protection, int flags, int descriptor, off64_t offset)
{
    return mmap_file(at, length, protection, flags, descriptor, offset);
}

int unlink(const char *path)
{
    const enum step step = arrive(CALL_UNLINK, file_of_path(path), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_unlinkat, AT_FDCWD, path, 0));
}

int rename(const char *from, const char *to)
{
    const enum step step = arrive(CALL_RENAME, file_of_path(from), 0);
    return (int)UNLESS_FAILING(step, syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0));
}

/* ---- pauses ---- */

/* Whoever waits for a disk to come to itself waits here for nothing: what fails is counted in calls, not in time. */
int nanosleep(const struct timespec *pause, struct timespec *left)
{
    if (atomic_load(&watch.on))
        return sched_yield();
    return (int)syscall(SYS_nanosleep, pause, left);
}

int usleep(useconds_t pause)
{
    const struct timespec length = {.tv_sec = pause / 1000000, .tv_nsec = (long)(pause % 1000000) * 1000};
    return nanosleep(&length, NULL);
}

/* NOLINTEND(readability-inconsistent-declaration-parameter-name) */
/* ---- on and off ---- */

void call_watch_start(const char *folder, const struct call_plan *plan)
{
    call_watch_stop();
    watch.plan = *plan;
    watch.length = strlen(folder);
    (void)snprintf(watch.folder, sizeof watch.folder, "%s", folder);
    memset(watch.files, 0, sizeof watch.files);
    atomic_store(&watch.count, 0);
    atomic_store(&watch.left, 0);
    atomic_store(&watch.hit, false);
    atomic_store(&watch.on, true);
}

void call_watch_stop(void)
{
    atomic_store(&watch.on, false);
}

void call_watch_pause(void)
{
    atomic_store(&watch.on, false);
}

void call_watch_go_on(void)
{
    atomic_store(&watch.on, true);
}

void call_watch_fail_next(enum call_kind kind, enum call_file file, int times)
{
    watch.hit_kind = kind;
    watch.hit_file = (int)file;
    atomic_store(&watch.left, times);
}

void call_watch_mend(void)
{
    atomic_store(&watch.left, 0);
}

int call_watch_count(void)
{
    return atomic_load(&watch.count);
}

bool call_watch_was_hit(void)
{
    return atomic_load(&watch.hit);
}

struct call call_watch_call(int number)
{
    return watch.calls[number - 1];
}
