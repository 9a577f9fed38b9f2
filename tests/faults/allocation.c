#include "tests/faults/allocation.h"

#include <errno.h>
#include <execinfo.h>
#include <malloc.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdlib.h>
#include <unistd.h>

/* glibc's own, under the names it keeps for replacements ("Replacing malloc" in its manual; free is not replaced, so
 * what these give is glibc's to take back). */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *memory, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);

static atomic_bool armed, lasting, hit;
static atomic_llong wanted, seen;

enum { DEEPEST = 24 };
static void *where[DEEPEST];
static int depth;

void allocation_arm(int64_t nth, bool stays)
{
    atomic_store(&armed, false);
    atomic_store(&wanted, nth);
    atomic_store(&seen, 0);
    atomic_store(&lasting, stays);
    atomic_store(&hit, false);
    atomic_store(&armed, true);
}

int64_t allocation_disarm(bool *struck)
{
    atomic_store(&armed, false);
    if (struck)
        *struck = atomic_load(&hit);
    return atomic_load(&seen);
}

void allocation_prepare(void)
{
    depth = backtrace(where, DEEPEST); /* loads its library at the first call */
}

void allocation_say_where(int descriptor)
{
    backtrace_symbols_fd(where, depth, descriptor);
}

static bool fails(void)
{
    if (!atomic_load_explicit(&armed, memory_order_relaxed))
        return false;
    const long long number = atomic_fetch_add(&seen, 1) + 1, nth = atomic_load(&wanted);
    if (nth == 0 || number < nth || (number > nth && !atomic_load(&lasting)))
        return false;
    if (number == nth)
        depth = backtrace(where, DEEPEST);
    atomic_store(&hit, true);
    errno = ENOMEM;
    return true;
}

/* Parameters are named as in glibc's headers. */
void *malloc(size_t size)
{
    return fails() ? NULL : __libc_malloc(size);
}

void *calloc(size_t nmemb, size_t size)
{
    return fails() ? NULL : __libc_calloc(nmemb, size);
}

/* Nothing to get when it is to be freed; otherwise the old one stays as it is. */
void *realloc(void *ptr, size_t size)
{
    if (ptr && size == 0)
        return __libc_realloc(ptr, size);
    return fails() ? NULL : __libc_realloc(ptr, size);
}

void *memalign(size_t alignment, size_t size)
{
    return fails() ? NULL : __libc_memalign(alignment, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return fails() ? NULL : __libc_memalign(alignment, size);
}

int posix_memalign(void **memptr, size_t alignment, size_t size)
{
    if (alignment % sizeof(void *) != 0 || (alignment & (alignment - 1)) != 0 || alignment == 0)
        return EINVAL;
    void *made = fails() ? NULL : __libc_memalign(alignment, size);
    if (!made)
        return ENOMEM;
    *memptr = made;
    return 0;
}

void *valloc(size_t size)
{
    return fails() ? NULL : __libc_memalign((size_t)sysconf(_SC_PAGESIZE), size);
}
