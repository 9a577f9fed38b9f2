#include "kiosk/basics/queue.h"

#include <assert.h>
#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <time.h>

struct queue {
    pthread_mutex_t lock; /* guards all below */
    pthread_cond_t came;  /* something was pushed, or the queue was closed */
    size_t capacity, first, length;
    bool closed;
    void *items[]; /* a ring */
};

/* Waits are measured on the monotonic clock: setting the wall clock must not stretch them. */
static bool condition_init(pthread_cond_t *condition)
{
    pthread_condattr_t attributes;
    if (pthread_condattr_init(&attributes) != 0)
        return false;
    const bool made =
        pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC) == 0 && pthread_cond_init(condition, &attributes) == 0;
    (void)pthread_condattr_destroy(&attributes);
    return made;
}

struct queue *queue_create(size_t capacity)
{
    assert(capacity > 0);
    struct queue *queue = calloc(1, sizeof *queue + capacity * sizeof queue->items[0]);
    if (!queue)
        return NULL;
    queue->capacity = capacity;
    if (pthread_mutex_init(&queue->lock, NULL) != 0) {
        free(queue);
        return NULL;
    }
    if (!condition_init(&queue->came)) {
        (void)pthread_mutex_destroy(&queue->lock);
        free(queue);
        return NULL;
    }
    return queue;
}

void queue_destroy(struct queue *queue)
{
    if (!queue)
        return;
    (void)pthread_cond_destroy(&queue->came);
    (void)pthread_mutex_destroy(&queue->lock);
    free(queue);
}

bool queue_push(struct queue *queue, void *item)
{
    assert(item);
    (void)pthread_mutex_lock(&queue->lock);
    const bool taken = !queue->closed && queue->length < queue->capacity;
    if (taken) {
        queue->items[(queue->first + queue->length) % queue->capacity] = item;
        queue->length++;
    }
    (void)pthread_mutex_unlock(&queue->lock);
    if (taken) /* after the unlock: whoever wakes does not find it locked */
        (void)pthread_cond_signal(&queue->came);
    return taken;
}

static struct timespec deadline_in(int wait_ms)
{
    struct timespec at = {0};
    (void)clock_gettime(CLOCK_MONOTONIC, &at);
    at.tv_sec += wait_ms / 1000;
    at.tv_nsec += (long)(wait_ms % 1000) * 1000000;
    if (at.tv_nsec >= 1000000000) {
        at.tv_nsec -= 1000000000;
        at.tv_sec++;
    }
    return at;
}

size_t queue_pop_many(struct queue *queue, void **items, size_t most, int wait_ms)
{
    const struct timespec deadline = deadline_in(wait_ms > 0 ? wait_ms : 0);
    size_t count = 0;
    (void)pthread_mutex_lock(&queue->lock);
    int answer = 0;
    while (queue->length == 0 && !queue->closed && wait_ms != 0 && answer != ETIMEDOUT)
        answer = wait_ms < 0 ? pthread_cond_wait(&queue->came, &queue->lock)
                             : pthread_cond_timedwait(&queue->came, &queue->lock, &deadline);
    while (count < most && queue->length > 0) {
        items[count++] = queue->items[queue->first];
        queue->first = (queue->first + 1) % queue->capacity;
        queue->length--;
    }
    if (queue->length > 0) /* more than one push may have been told by one signal: pass it on */
        (void)pthread_cond_signal(&queue->came);
    (void)pthread_mutex_unlock(&queue->lock);
    return count;
}

void queue_close(struct queue *queue)
{
    (void)pthread_mutex_lock(&queue->lock);
    queue->closed = true;
    (void)pthread_cond_broadcast(&queue->came);
    (void)pthread_mutex_unlock(&queue->lock);
}

bool queue_is_closed(struct queue *queue)
{
    (void)pthread_mutex_lock(&queue->lock);
    const bool closed = queue->closed;
    (void)pthread_mutex_unlock(&queue->lock);
    return closed;
}

size_t queue_length(struct queue *queue)
{
    (void)pthread_mutex_lock(&queue->lock);
    const size_t length = queue->length;
    (void)pthread_mutex_unlock(&queue->lock);
    return length;
}
