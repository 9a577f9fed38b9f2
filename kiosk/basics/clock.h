#ifndef KIOSK_BASICS_CLOCK_H
#define KIOSK_BASICS_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/calendar.h"

/* Time is asked once an act and handed down as a `struct moment`, so that one act cannot see two "nows". Order in the
 * ledger is the sequence number, never the wall clock; time-outs are monotonic. */
struct moment {
    struct instant wall;
    struct day local_day; /* the shop's calendar day at `wall` */
    int64_t mono_ms;      /* CLOCK_BOOTTIME: goes on through suspend, never back */
    bool trusted;         /* the wall clock is synchronised, or a storekeeper confirmed it since start */
};

struct clock;

/* CLOCK_BOOTTIME in milliseconds, for time-outs that are no part of an act. */
int64_t clock_mono_ms(void);

/* The system's clock, zone from TZ. Trusted when the kernel says it is synchronised. NULL: no memory. */
struct clock *clock_create_system(void);
/* A clock that stands still until driven: for tests. Starts at `wall`, trusted, monotonic 0, zone UTC. */
struct clock *clock_create_driven(struct instant wall);
/* A clock whose wall reads from a file that holds one instant (whole-daemon tests); monotonic is the system's, zone
 * from TZ, trusted as the file says by a second word "trusted". An unreadable file keeps the last instant, untrusted.
 */
struct clock *clock_create_file(const char *path);
void clock_destroy(struct clock *clock);

struct moment clock_now(struct clock *clock); /* any thread */
/* The shop's calendar day at another instant, in the clock's zone (an act that happened earlier). Any thread. */
struct day clock_local_day(struct clock *clock, struct instant instant);
void clock_drive(struct clock *clock, int64_t ms); /* driven only: wall and monotonic go on by ms */
void clock_set_wall(struct clock *clock, struct instant wall, bool trusted); /* driven only */

/* A storekeeper said that the shown date and time are right: trusted from now on. */
void clock_confirm(struct clock *clock);
/* The wall was seen before something already booked: untrusted until confirmed. */
void clock_distrust(struct clock *clock);

#endif
