#ifndef KIOSK_WEB_EVENTS_H
#define KIOSK_WEB_EVENTS_H

#include <stddef.h>
#include <stdint.h>

#include <microhttpd.h>

#include "kiosk/ledger/feed.h"
#include "kiosk/web/readers.h"
#include "labels/basics/fault.h"

/* Server-sent events (WHATWG HTML section 9.2): one endless response a stream.
 *   event movement   id = its number, data = the movement as JSON; none is left out, none comes twice
 *   event counter    {"counter": NAME}: that counter's view may have changed          (passing: no id, may be missed)
 *   event device …   whatever is passed through the feed                              (passing)
 *   event hello      first of each stream, id = the number it starts after, {"seq": that number}
 *   event reload     {"seq": head}: the client knew a number this ledger does not have; it must read all afresh
 * A comment line now and then finds clients that are gone.
 *
 * Movements come from the ledger, EVENTS_PAGE at a time, and the next page is read once the client has taken the
 * last: a slow client costs one page of memory, however far it is behind.
 *
 * Locks: `events` (list, count) before a stream's; the feed's lock comes before a stream's too (wake), and the feed is
 * called with none of them held. */

enum { EVENTS_PAGE = 100, EVENTS_NOW = -1 };

struct events;

/* Borrows feed and readers. FAULT_STORAGE: no memory or no thread. */
bool events_create(struct feed *feed, struct readers *readers, size_t most, int keep_alive_ms, struct events **events,
                   struct fault *fault);
/* Wakes and ends every stream; none opens any more. Any thread. */
void events_stop(struct events *events);
/* After the HTTP daemon has stopped. Accepts NULL. */
void events_destroy(struct events *events);

/* A response that streams what comes after movement `after` (EVENTS_NOW: after the head as it is now). The caller
 * queues it on `connection` and destroys it. FAULT_BUSY: as many streams as allowed are open. */
bool events_open(struct events *events, struct MHD_Connection *connection, int64_t after,
                 struct MHD_Response **response, struct fault *fault);

size_t events_count(struct events *events);

#endif
