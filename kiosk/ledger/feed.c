#include "kiosk/ledger/feed.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

enum { EVENT_SIZE = 24 };

struct passing {
    char event[EVENT_SIZE];
    char data[FEED_PASSING_TEXT];
};

struct feed_follower {
    struct feed *feed;
    void (*wake)(void *context);
    void *context;
    uint64_t next; /* number of the next passing thing to see */
    struct feed_follower *before, *after;
};

struct feed {
    pthread_mutex_t lock; /* guards all below; taken last, nothing else is taken under it */
    struct feed_follower *first;
    int64_t last_seq;
    uint64_t passed; /* passing things ever; thing n lies in ring[n % FEED_PASSING] */
    struct passing ring[FEED_PASSING];
};

struct feed *feed_create(void)
{
    struct feed *feed = calloc(1, sizeof *feed);
    if (feed && pthread_mutex_init(&feed->lock, NULL) != 0) {
        free(feed);
        return NULL;
    }
    return feed;
}

void feed_destroy(struct feed *feed)
{
    if (!feed)
        return;
    pthread_mutex_destroy(&feed->lock);
    free(feed);
}

struct feed_follower *feed_follow(struct feed *feed, void (*wake)(void *context), void *context)
{
    struct feed_follower *follower = calloc(1, sizeof *follower);
    if (!follower)
        return NULL;
    *follower = (struct feed_follower){.feed = feed, .wake = wake, .context = context};
    pthread_mutex_lock(&feed->lock);
    follower->next = feed->passed;
    follower->after = feed->first;
    if (feed->first)
        feed->first->before = follower;
    feed->first = follower;
    pthread_mutex_unlock(&feed->lock);
    return follower;
}

void feed_leave(struct feed_follower *follower)
{
    if (!follower)
        return;
    struct feed *feed = follower->feed;
    pthread_mutex_lock(&feed->lock);
    if (follower->before)
        follower->before->after = follower->after;
    else
        feed->first = follower->after;
    if (follower->after)
        follower->after->before = follower->before;
    pthread_mutex_unlock(&feed->lock);
    free(follower); /* whoever held the lock is done with it: no wake can come any more */
}

static void wake_all(const struct feed *feed)
{
    for (const struct feed_follower *follower = feed->first; follower; follower = follower->after)
        if (follower->wake)
            follower->wake(follower->context);
}

void feed_publish(struct feed *feed, int64_t last_seq)
{
    pthread_mutex_lock(&feed->lock);
    if (last_seq > feed->last_seq)
        feed->last_seq = last_seq;
    wake_all(feed);
    pthread_mutex_unlock(&feed->lock);
}

int64_t feed_last_seq(struct feed *feed)
{
    pthread_mutex_lock(&feed->lock);
    const int64_t last_seq = feed->last_seq;
    pthread_mutex_unlock(&feed->lock);
    return last_seq;
}

/* As much of `text` as fits, never half a character. */
static void copy_cut(char *buffer, size_t size, const char *text)
{
    size_t length = strlen(text);
    if (length >= size) {
        length = size - 1;
        while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
            length--;
    }
    memcpy(buffer, text, length);
    buffer[length] = '\0';
}

void feed_pass(struct feed *feed, const char *event, const char *data)
{
    pthread_mutex_lock(&feed->lock);
    struct passing *passing = &feed->ring[feed->passed % FEED_PASSING];
    copy_cut(passing->event, sizeof passing->event, event);
    copy_cut(passing->data, sizeof passing->data, data);
    feed->passed++;
    wake_all(feed);
    pthread_mutex_unlock(&feed->lock);
}

bool feed_next_passing(struct feed_follower *follower, char event[EVENT_SIZE], char data[FEED_PASSING_TEXT])
{
    struct feed *feed = follower->feed;
    pthread_mutex_lock(&feed->lock);
    const uint64_t oldest = feed->passed > FEED_PASSING ? feed->passed - FEED_PASSING : 0;
    if (follower->next < oldest)
        follower->next = oldest; /* too slow: the rest is overwritten */
    const bool any = follower->next < feed->passed;
    if (any) {
        const struct passing *passing = &feed->ring[follower->next++ % FEED_PASSING];
        memcpy(event, passing->event, sizeof passing->event);
        memcpy(data, passing->data, strlen(passing->data) + 1);
    }
    pthread_mutex_unlock(&feed->lock);
    return any;
}
