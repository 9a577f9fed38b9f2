#ifndef KIOSK_BASICS_LOG_H
#define KIOSK_BASICS_LOG_H

#include <stddef.h>

#include "labels/basics/calendar.h"

/* The log: one line an entry on standard error, "2026-02-14T09:30:00.000Z warning ledger: sentence". A line goes out
 * by one write, so lines of several threads do not mix. What outside bytes a sentence may carry cannot forge a line:
 * control characters are replaced by '?', bytes that are no UTF-8 too, and an overlong sentence ends in "…". */

enum log_level { LOG_LEVEL_INFO, LOG_LEVEL_WARNING, LOG_LEVEL_ERROR, LOG_LEVELS };
enum { LOG_LINE_SIZE = 1200 };

/* `room` is a word of ours ("writer", "printer"). Any thread. A full or closed standard error is ignored. */
void log_line(enum log_level level, const char *room, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* The line itself, ended with newline and NUL; returns its length without the NUL. Pure. */
size_t log_write(struct instant at, enum log_level level, const char *room, const char *sentence,
                 char line[LOG_LINE_SIZE]);

#endif
