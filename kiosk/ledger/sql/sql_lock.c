#include "kiosk/ledger/sql/sql_lock.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#include "labels/basics/text.h"

enum { NUMBER_BYTES = 24 };

/* The process number that the holder wrote; 0 when it has not, or not yet. */
static int64_t read_holder(int lock)
{
    char bytes[NUMBER_BYTES];
    int64_t number = 0;
    const ssize_t length = pread(lock, bytes, sizeof bytes, 0);
    if (length <= 1 || !span_read_count((struct span){bytes, (size_t)length - 1}, &number))
        return 0;
    return number;
}

static bool write_holder(int lock)
{
    char text[NUMBER_BYTES];
    const int length = snprintf(text, sizeof text, "%ld\n", (long)getpid());
    return ftruncate(lock, 0) == 0 && pwrite(lock, text, (size_t)length, 0) == length;
}

static bool held_by_another(const char *path, int lock, struct fault *fault)
{
    const int64_t holder = read_holder(lock);
    if (holder > 0)
        return fault_set(fault, FAULT_BUSY,
                         "another kiosk program already works on '%s' (process %lld): stop it or use its page", path,
                         (long long)holder);
    return fault_set(fault, FAULT_BUSY, "another kiosk program already works on '%s': stop it or use its page", path);
}

bool sql_lock_take(const char *path, int *lock, int64_t *left_by, struct fault *fault)
{
    char name[PATH_MAX];
    if (snprintf(name, sizeof name, "%s.lock", path) >= (int)sizeof name)
        return fault_set(fault, FAULT_INPUT, "the ledger's path is too long: give a shorter one");
    const int file = open(name, O_RDWR | O_CREAT | O_CLOEXEC, 0640);
    if (file < 0)
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be made (%s): let the kiosk's user write in that folder",
                         name, strerror(errno));
    if (flock(file, LOCK_EX | LOCK_NB) != 0) {
        const int reason = errno;
        if (reason == EWOULDBLOCK)
            (void)held_by_another(path, file, fault);
        else
            (void)fault_set(fault, FAULT_STORAGE, "'%s' cannot be locked (%s): keep the ledger on a local disk", name,
                            strerror(reason));
        (void)close(file);
        return false;
    }
    *left_by = read_holder(file);
    /* for the other one's sentence, and for the next start: on disk, or a power cut would look like an orderly stop */
    if (write_holder(file))
        (void)fsync(file);
    *lock = file;
    return true;
}

void sql_lock_release(int lock)
{
    if (lock < 0)
        return;
    (void)!ftruncate(lock, 0);
    (void)close(lock);
}
