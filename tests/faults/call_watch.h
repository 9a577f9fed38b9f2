#ifndef TESTS_FAULTS_CALL_WATCH_H
#define TESTS_FAULTS_CALL_WATCH_H

#include <stdbool.h>
#include <stddef.h>

/* Stands between this program and the kernel: call_watch.c defines pwrite, fdatasync, fcntl … itself, and because a
 * program's own definitions come before libc's, SQLite and the ledger call those. Every call that touches a file of one
 * folder (the ledger, its log, index and lock file, the folder itself) is counted; one of them can be made to fail, or
 * be the last that the process ever makes. Calls on other files pass. Not under sanitizers, which stand in the same
 * place. One folder at a time; any thread. */

#define CALLS(X)                                                                                                       \
    X(OPEN, "openat")                                                                                                  \
    X(CLOSE, "close")                                                                                                  \
    X(ACCESS, "access")                                                                                                \
    X(STAT, "stat")                                                                                                    \
    X(LSTAT, "lstat")                                                                                                  \
    X(FSTAT, "fstat")                                                                                                  \
    X(READLINK, "readlink")                                                                                            \
    X(REALPATH, "realpath") /* several calls of the kernel, inside libc */                                             \
    X(READ, "read")                                                                                                    \
    X(WRITE, "write")                                                                                                  \
    X(PREAD, "pread64")                                                                                                \
    X(PWRITE, "pwrite64")                                                                                              \
    X(FSYNC, "fsync")                                                                                                  \
    X(FDATASYNC, "fdatasync")                                                                                          \
    X(FTRUNCATE, "ftruncate")                                                                                          \
    X(FALLOCATE, "fallocate")                                                                                          \
    X(FCNTL, "fcntl")                                                                                                  \
    X(FLOCK, "flock")                                                                                                  \
    X(FCHMOD, "fchmod")                                                                                                \
    X(FCHOWN, "fchown")                                                                                                \
    X(UTIME, "utime")                                                                                                  \
    X(MMAP, "mmap")                                                                                                    \
    X(UNLINK, "unlink")                                                                                                \
    X(RENAME, "rename")

enum call_kind {
#define X(name, word) CALL_##name,
    CALLS(X)
#undef X
        CALL_KINDS
};
const char *call_kind_word(enum call_kind kind);

enum call_file { FILE_LEDGER, FILE_LOG, FILE_INDEX, FILE_LOCK, FILE_JOURNAL, FILE_FOLDER, CALL_FILES };
const char *call_file_word(enum call_file file);

enum call_fate {
    CALL_COUNTED,      /* nothing happens */
    CALL_KILLED,       /* kill -9 just before it */
    CALL_KILLED_HALF,  /* a write: kill -9 once half of its bytes are written */
    CALL_FAILS,        /* it is not done, and fails (a close is done, as the kernel does) */
    CALL_FAILS_HALF,   /* a write: half of its bytes are written, and it fails, as on a disk that gets full */
    CALL_FAILS_UNHEARD /* it is done, and all the same it fails: what was reported is not what is so */
};

struct call_plan {
    int at; /* the call's number, from 1 */
    enum call_fate fate;
    int error;   /* errno of what fails */
    int lasting; /* how many calls of the same kind on the same file fail in all, from that one on; 0: one */
};

/* Counts from 1. `folder` without a slash at its end; copied. */
void call_watch_start(const char *folder, const struct call_plan *plan);
void call_watch_stop(void);
/* Between pause and go on nothing is counted and nothing fails. */
void call_watch_pause(void);
void call_watch_go_on(void);
/* The next calls of this kind on this file meet the plan's fate, so many of them. */
void call_watch_fail_next(enum call_kind kind, enum call_file file, int times);
/* What lasts is over. */
void call_watch_mend(void);

int call_watch_count(void);
bool call_watch_was_hit(void); /* has the call of the plan come? */

/* What call `number` was, from 1; only the first CALLS_KEPT are remembered. */
enum { CALLS_KEPT = 20000 };
struct call {
    unsigned char kind, file;
    bool half; /* a write of two bytes or more */
};
struct call call_watch_call(int number);

#endif
