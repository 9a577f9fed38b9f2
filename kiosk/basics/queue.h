#ifndef KIOSK_BASICS_QUEUE_H
#define KIOSK_BASICS_QUEUE_H

#include <stdbool.h>
#include <stddef.h>

/* A bounded queue of pointers: many threads push, one or more pop, first in first out. Push never blocks, so that
 * whoever holds a connection or a device can say "busy" instead of standing still. The queue owns no items: at destroy
 * it must be empty or its items forgotten by whoever pushed them. One lock inside, held for no call out. */

struct queue;

enum { QUEUE_FOR_EVER = -1 };

struct queue *queue_create(size_t capacity); /* NULL: no memory. capacity 1 or more */
void queue_destroy(struct queue *queue);     /* accepts NULL; nobody may be waiting in it */

/* False when the queue is full or closed: the item stays the caller's. `item` is not NULL. */
bool queue_push(struct queue *queue, void *item);

/* Waits until there is something, the queue is closed, or `wait_ms` have passed (QUEUE_FOR_EVER, or 0: only look), then
 * takes up to `most` items in their order. 0: nothing came in time, or closed and empty (queue_is_closed tells). */
size_t queue_pop_many(struct queue *queue, void **items, size_t most, int wait_ms);

/* No more pushes; what is inside can still be popped; waiting threads wake. */
void queue_close(struct queue *queue);
bool queue_is_closed(struct queue *queue);
size_t queue_length(struct queue *queue);

#endif
