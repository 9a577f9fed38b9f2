#include "kiosk/web/events.h"

#include <errno.h>
#include <inttypes.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <jansson.h>

#include "kiosk/basics/thread.h"
#include "kiosk/ledger/json_memory.h"
#include "kiosk/ledger/movement_json.h"
#include "kiosk/web/event_text.h"
#include "kiosk/web/server.h"

enum { BLOCK_SIZE = 16 * 1024, PASSING_AT_ONCE = 32 };

struct events {
    struct feed *feed;
    struct readers *readers;
    size_t most;
    int keep_alive_ms;
    struct thread *ticker;
    pthread_mutex_t mutex; /* guards the rest */
    pthread_cond_t stopped;
    bool stopping;
    size_t count;
    struct stream *streams;
};

struct stream {
    struct events *events;
    struct MHD_Connection *connection;
    struct feed_follower *follower;
    struct stream *next, *previous; /* under events.mutex */

    pthread_mutex_t mutex; /* guards the four flags; the rest is the web thread's */
    bool woken;            /* something may be new since the last look */
    bool asleep;           /* the connection is suspended */
    bool ticked;           /* a comment line is due */
    bool ending;

    int64_t seq;            /* the last movement sent */
    bool behind;            /* there are, or may be, movements after `seq` already */
    struct event_text text; /* what is to be sent */
};

/* What goes in */

struct page {
    struct stream *stream;
    int64_t movements;
};

static bool add_movement(const struct movement *movement, void *context)
{
    struct page *page = context;
    json_t *object = movement_json_write(movement);
    char *text = object ? json_memory_dumps(object, JSON_COMPACT) : NULL;
    const bool added = text && event_text_add(&page->stream->text, "id: %" PRId64 "\nevent: movement\ndata: %s\n\n",
                                              movement->seq, text);
    free(text);
    json_decref(object);
    if (!added)
        return false; /* sent at the next wake */
    page->stream->seq = movement->seq;
    page->movements++;
    return true;
}

/* The next page of movements. What cannot be read now is tried again at the next wake: nothing is skipped. */
static void add_movements(struct stream *stream)
{
    struct page page = {.stream = stream};
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    if (!stream->behind && feed_last_seq(stream->events->feed) <= stream->seq)
        return;
    stream->behind = true;
    if (!readers_take(stream->events->readers, &ledger, &fault))
        return;
    const bool read = ledger_each(ledger, stream->seq, EVENTS_PAGE, add_movement, &page, &fault);
    readers_give(stream->events->readers, ledger, !read);
    if (read && page.movements < EVENTS_PAGE)
        stream->behind = false;
}

static void add_passing(struct stream *stream)
{
    char event[24], data[FEED_PASSING_TEXT];
    for (int i = 0; i < PASSING_AT_ONCE && feed_next_passing(stream->follower, event, data); i++) {
        /* a line break would end the field and let the data forge others */
        event[strcspn(event, "\r\n")] = '\0';
        data[strcspn(data, "\r\n")] = '\0';
        event_text_add(&stream->text, "event: %s\ndata: %s\n\n", event, data);
    }
}

static void fill(struct stream *stream, bool ticked)
{
    add_movements(stream);
    add_passing(stream);
    if (ticked && event_text_is_empty(&stream->text))
        event_text_add(&stream->text, ": still here\n\n");
}

/* The streaming itself */

static void look(struct stream *stream, bool *ticked, bool *ending)
{
    pthread_mutex_lock(&stream->mutex);
    *ticked = stream->ticked;
    *ending = stream->ending;
    stream->ticked = stream->woken = false;
    pthread_mutex_unlock(&stream->mutex);
}

/* Suspends unless something happened since look(); under the lock, so that a waker finds us either not yet asleep
 * (and `woken` keeps us up) or asleep for good (and it resumes us). */
static bool sleep_unless_woken(struct stream *stream)
{
    pthread_mutex_lock(&stream->mutex);
    const bool sleeps = !stream->woken && !stream->ending;
    if (sleeps) {
        stream->asleep = true;
        MHD_suspend_connection(stream->connection);
    }
    pthread_mutex_unlock(&stream->mutex);
    return sleeps;
}

static ssize_t stream_read(void *context, uint64_t position, char *to, size_t most)
{
    struct stream *stream = context;
    bool ticked, ending;
    (void)position;
    while (event_text_is_empty(&stream->text)) {
        look(stream, &ticked, &ending);
        if (ending)
            return MHD_CONTENT_READER_END_OF_STREAM;
        fill(stream, ticked);
        if (event_text_is_empty(&stream->text) && sleep_unless_woken(stream))
            return 0;
    }
    return (ssize_t)event_text_take(&stream->text, to, most);
}

static void rouse(struct stream *stream)
{
    stream->woken = true;
    if (!stream->asleep)
        return;
    stream->asleep = false;
    MHD_resume_connection(stream->connection);
}

/* The feed's wake. */
static void stream_wake(void *context)
{
    struct stream *stream = context;
    pthread_mutex_lock(&stream->mutex);
    rouse(stream);
    pthread_mutex_unlock(&stream->mutex);
}

static void stream_free(void *context)
{
    struct stream *stream = context;
    struct events *events = stream->events;
    if (stream->follower)
        feed_leave(stream->follower);
    pthread_mutex_lock(&events->mutex);
    if (stream->previous)
        stream->previous->next = stream->next;
    else
        events->streams = stream->next;
    if (stream->next)
        stream->next->previous = stream->previous;
    events->count--;
    pthread_mutex_unlock(&events->mutex);
    pthread_mutex_destroy(&stream->mutex);
    event_text_clear(&stream->text);
    free(stream);
}

/* Opening */

static bool link_stream(struct events *events, struct stream *stream, struct fault *fault)
{
    pthread_mutex_lock(&events->mutex);
    const bool stopping = events->stopping, room = events->count < events->most;
    if (!stopping && room) {
        stream->next = events->streams;
        if (stream->next)
            stream->next->previous = stream;
        events->streams = stream;
        events->count++;
    }
    pthread_mutex_unlock(&events->mutex);
    if (stopping)
        return fault_set(fault, FAULT_BUSY, "the kiosk is being stopped: connect again later");
    if (!room)
        return fault_set(fault, FAULT_BUSY, "%zu event streams are open already: close a browser window and try again",
                         events->most);
    return true;
}

static bool read_head(struct events *events, int64_t *head, struct fault *fault)
{
    struct ledger *ledger = NULL;
    uint8_t hash[HASH_BYTES];
    if (!readers_take(events->readers, &ledger, fault))
        return false;
    const bool read = ledger_head(ledger, head, hash, fault);
    readers_give(events->readers, ledger, !read);
    return read;
}

/* Follows first and looks at the head second: what is committed in between wakes the stream. */
static bool start(struct stream *stream, int64_t after, struct fault *fault)
{
    int64_t head = 0;
    stream->follower = feed_follow(stream->events->feed, stream_wake, stream);
    if (!stream->follower)
        return fault_set(fault, FAULT_STORAGE, "no memory for an event stream: try again");
    if (!read_head(stream->events, &head, fault))
        return false;
    const bool ahead = after > head;
    stream->seq = after == EVENTS_NOW || ahead ? head : after;
    stream->behind = stream->seq < head;
    bool added =
        event_text_add(&stream->text, "retry: 2000\nid: %" PRId64 "\nevent: hello\ndata: {\"seq\":%" PRId64 "}\n\n",
                       stream->seq, stream->seq);
    if (ahead)
        added = added && event_text_add(&stream->text, "event: reload\ndata: {\"seq\":%" PRId64 "}\n\n", head);
    return added || fault_set(fault, FAULT_STORAGE, "no memory for an event stream: try again");
}

bool events_open(struct events *events, struct MHD_Connection *connection, int64_t after,
                 struct MHD_Response **response, struct fault *fault)
{
    struct stream *stream = calloc(1, sizeof *stream);
    if (!stream)
        return fault_set(fault, FAULT_STORAGE, "no memory for an event stream: try again");
    stream->events = events;
    stream->connection = connection;
    pthread_mutex_init(&stream->mutex, NULL);
    if (!link_stream(events, stream, fault)) {
        pthread_mutex_destroy(&stream->mutex);
        free(stream);
        return false;
    }
    if (!start(stream, after, fault)) {
        stream_free(stream);
        return false;
    }
    struct MHD_Response *made =
        MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, BLOCK_SIZE, stream_read, stream, stream_free);
    if (!made) {
        stream_free(stream);
        return fault_set(fault, FAULT_STORAGE, "no memory for an event stream: try again");
    }
    MHD_add_response_header(made, MHD_HTTP_HEADER_CONTENT_TYPE, "text/event-stream");
    *response = made;
    return true;
}

/* All streams together */

static void tick_all(struct events *events, bool ending)
{
    for (struct stream *stream = events->streams; stream; stream = stream->next) {
        pthread_mutex_lock(&stream->mutex);
        stream->ticked = true;
        stream->ending = stream->ending || ending;
        rouse(stream);
        pthread_mutex_unlock(&stream->mutex);
    }
}

static struct timespec after_ms(int ms)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    at.tv_sec += ms / 1000;
    at.tv_nsec += (long)(ms % 1000) * 1000000;
    if (at.tv_nsec >= 1000000000) {
        at.tv_sec++;
        at.tv_nsec -= 1000000000;
    }
    return at;
}

static void ticker_run(void *context)
{
    struct events *events = context;
    pthread_mutex_lock(&events->mutex);
    while (!events->stopping) {
        const struct timespec until = after_ms(events->keep_alive_ms);
        int waited = 0;
        while (!events->stopping && waited != ETIMEDOUT)
            waited = pthread_cond_timedwait(&events->stopped, &events->mutex, &until);
        if (!events->stopping)
            tick_all(events, false);
    }
    pthread_mutex_unlock(&events->mutex);
}

static void init_locks(struct events *events)
{
    pthread_condattr_t attributes;
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&events->stopped, &attributes);
    pthread_condattr_destroy(&attributes);
    pthread_mutex_init(&events->mutex, NULL);
}

bool events_create(struct feed *feed, struct readers *readers, size_t most, int keep_alive_ms, struct events **events,
                   struct fault *fault)
{
    struct events *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for the event streams");
    made->feed = feed;
    made->readers = readers;
    made->most = most;
    made->keep_alive_ms = keep_alive_ms;
    init_locks(made);
    if (!thread_start("web-ticker", ticker_run, made, &made->ticker, fault)) {
        events_destroy(made);
        return false;
    }
    *events = made;
    return true;
}

void events_stop(struct events *events)
{
    pthread_mutex_lock(&events->mutex);
    events->stopping = true;
    pthread_cond_broadcast(&events->stopped);
    tick_all(events, true);
    pthread_mutex_unlock(&events->mutex);
}

void events_destroy(struct events *events)
{
    if (!events)
        return;
    events_stop(events);
    thread_join(events->ticker);
    pthread_cond_destroy(&events->stopped);
    pthread_mutex_destroy(&events->mutex);
    free(events);
}

size_t events_count(struct events *events)
{
    pthread_mutex_lock(&events->mutex);
    const size_t count = events->count;
    pthread_mutex_unlock(&events->mutex);
    return count;
}

void web_announce_counter(struct feed *feed, const char *counter)
{
    json_t *data = json_pack("{s:s}", "counter", counter);
    char *text = data ? json_memory_dumps(data, JSON_COMPACT) : NULL;
    json_decref(data);
    if (text)
        feed_pass(feed, "counter", text);
    free(text);
}
