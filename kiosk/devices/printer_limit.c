#include "kiosk/devices/printer_limit.h"

#include <pthread.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

#include "kiosk/basics/thread.h"

struct printer_limit {
    pthread_mutex_t lock; /* guards what follows */
    pthread_cond_t change;
    bool over, ended;
    struct timespec until;
    int fd;
    struct thread *thread;
};

static void watch(void *context)
{
    struct printer_limit *const limit = context;
    pthread_mutex_lock(&limit->lock);
    while (!limit->ended && !limit->over) {
        if (pthread_cond_timedwait(&limit->change, &limit->lock, &limit->until) != 0 && !limit->ended) {
            limit->over = true;
            shutdown(limit->fd, SHUT_RDWR);
        }
    }
    pthread_mutex_unlock(&limit->lock);
}

static struct timespec from_now(int milliseconds)
{
    enum { NS_A_MS = 1000000, NS_A_S = 1000000000 };
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    time.tv_sec += milliseconds / 1000;
    time.tv_nsec += (long)(milliseconds % 1000) * NS_A_MS;
    if (time.tv_nsec >= NS_A_S) {
        time.tv_nsec -= NS_A_S;
        time.tv_sec++;
    }
    return time;
}

static void release(struct printer_limit *limit)
{
    pthread_cond_destroy(&limit->change);
    pthread_mutex_destroy(&limit->lock);
    free(limit);
}

struct printer_limit *printer_limit_begin(int fd, int milliseconds)
{
    struct printer_limit *const limit = calloc(1, sizeof *limit);
    pthread_condattr_t steady;
    if (!limit)
        return NULL;
    limit->fd = fd;
    limit->until = from_now(milliseconds);
    pthread_mutex_init(&limit->lock, NULL);
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC); /* the wall clock may be set meanwhile */
    pthread_cond_init(&limit->change, &steady);
    pthread_condattr_destroy(&steady);
    if (thread_start("printer-limit", watch, limit, &limit->thread, NULL))
        return limit;
    release(limit);
    return NULL;
}

bool printer_limit_end(struct printer_limit *limit)
{
    pthread_mutex_lock(&limit->lock);
    limit->ended = true;
    const bool over = limit->over;
    pthread_cond_signal(&limit->change);
    pthread_mutex_unlock(&limit->lock);
    thread_join(limit->thread);
    release(limit);
    return over;
}
