#ifndef LABELS_CONTENT_TICKET_TIME_H
#define LABELS_CONTENT_TICKET_TIME_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* When a job is to end, as a ticket says it: a day, or a minute of a day with its offset from UTC, so that people read
 * the clock of their own room and a program knows the instant. Pure. */

struct ticket_time {
    bool day_only;
    struct day day;
    int minute;         /* of that day, where it is said; 0 when day_only */
    int offset_minutes; /* of that clock from UTC, east positive */
};

/* "2026-11-26", or ISO 8601-1 "2026-11-26T18:30" with optional ":SS" and ".mmm", which go no further, then "Z" or
 * "+01:00". FAULT_INPUT: it is neither. */
bool ticket_time_read(struct span text, struct ticket_time *time, struct fault *fault);

/* For people: "26 Nov 2026", "26 Nov 19:30" (within a year), and with " UTC" behind it where no room's own clock was
 * said. */
enum { TICKET_TIME_WORDS_SIZE = 32 };
const char *ticket_time_words(const struct ticket_time *time, char words[TICKET_TIME_WORDS_SIZE]);

/* The value of data identifier 23D (ANSI MH10.8.2), in UTC: YYYYMMDD or YYYYMMDDHHMM; seconds are read and dropped. An
 * offset, a year or a month alone are legal there and no end of a job: FAULT_INPUT. */
enum { TICKET_TIME_COMPACT_SIZE = 13 };
const char *ticket_time_compact(const struct ticket_time *time, char text[TICKET_TIME_COMPACT_SIZE]);
bool ticket_time_read_compact(struct span text, struct ticket_time *time, struct fault *fault);

/* The instant; of a day alone nothing is said: false. */
bool ticket_time_instant(const struct ticket_time *time, struct instant *instant);
/* As the clock of a room reads that is `offset_minutes` east of UTC. */
struct ticket_time ticket_time_of(struct instant instant, int offset_minutes);

#endif
