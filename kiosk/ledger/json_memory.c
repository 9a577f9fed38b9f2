#include "kiosk/ledger/json_memory.h"

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/basics/log.h"

/* Pieces are handed out one after the other; when all are back it starts from the beginning. */
static struct {
    pthread_mutex_t lock; /* guards the two below */
    size_t used, out;
    _Alignas(max_align_t) uint8_t bytes[JSON_MEMORY_RESERVE];
} reserve = {.lock = PTHREAD_MUTEX_INITIALIZER};

static bool is_reserved(const void *memory)
{
    const uintptr_t at = (uintptr_t)memory, start = (uintptr_t)reserve.bytes;
    return at >= start && at < start + sizeof reserve.bytes;
}

static void *take(size_t size)
{
    const size_t whole = (size + sizeof(max_align_t) - 1) / sizeof(max_align_t) * sizeof(max_align_t);
    void *memory = NULL;
    pthread_mutex_lock(&reserve.lock);
    if (whole >= size && whole <= sizeof reserve.bytes - reserve.used) {
        memory = reserve.bytes + reserve.used;
        reserve.used += whole;
        reserve.out++;
    }
    pthread_mutex_unlock(&reserve.lock);
    return memory;
}

static void *allocate(size_t size)
{
    void *memory = malloc(size);
    if (!memory && !(memory = take(size))) {
        log_line(LOG_LEVEL_ERROR, "memory",
                 "this machine has no memory left and the kiosk ends; what was answered is booked: end other programs "
                 "and start it again");
        abort();
    }
    return memory;
}

static void release(void *memory)
{
    if (!is_reserved(memory)) {
        free(memory);
        return;
    }
    pthread_mutex_lock(&reserve.lock);
    if (--reserve.out == 0)
        reserve.used = 0;
    pthread_mutex_unlock(&reserve.lock);
}

static void keep(void)
{
    json_set_alloc_funcs(allocate, release);
}

void json_memory_keep(void)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    (void)pthread_once(&once, keep);
}

char *json_memory_dumps(const json_t *value, size_t flags)
{
    char *text = json_dumps(value, flags);
    if (!is_reserved(text))
        return text;
    char *copy = strdup(text);
    release(text);
    return copy;
}
