#ifndef KIOSK_LEDGER_FEED_H
#define KIOSK_LEDGER_FEED_H

#include <stdbool.h>
#include <stdint.h>

/* Who wants to know what was booked. Ledger events are movements: followers are woken after COMMIT with the last
 * number and read the movements themselves (ledger_each after the last they saw), so a lost wake-up costs time, never
 * an event. Passing things (device and printer states, camera overlay) go by a bounded ring without ids: who is slow
 * misses some. Thread safe. */

struct feed;
struct feed_follower;

struct feed *feed_create(void);
void feed_destroy(struct feed *feed); /* all followers must have left */

/* `wake` is called from the publishing thread, under the feed's lock: it must only flag and signal (resume a
 * connection, write an eventfd), never call the feed. */
struct feed_follower *feed_follow(struct feed *feed, void (*wake)(void *context), void *context);
void feed_leave(struct feed_follower *follower);

void feed_publish(struct feed *feed, int64_t last_seq); /* the writer, after COMMIT */
int64_t feed_last_seq(struct feed *feed);

enum { FEED_PASSING = 256, FEED_PASSING_TEXT = 2048 };
/* `event` a word such as "device"; `data` one line of JSON. Cut if longer than FEED_PASSING_TEXT. */
void feed_pass(struct feed *feed, const char *event, const char *data);
/* The next passing thing this follower has not seen; false when none. */
bool feed_next_passing(struct feed_follower *follower, char event[24], char data[FEED_PASSING_TEXT]);

#endif
