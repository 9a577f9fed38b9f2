#ifndef LABELS_BASICS_CALENDAR_H
#define LABELS_BASICS_CALENDAR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* Calendar days, proleptic Gregorian (ISO 8601-1:2019). A day is a number of days since 1970-01-01, without a
 * zone; an instant is milliseconds since 1970-01-01T00:00:00Z, without leap seconds. They are different types so
 * that they cannot be added. Pure: no clock, no locale, no allocation; any thread may call.
 * Supported: years 1900 to 2999. */

struct day {
    int32_t number;
};
struct instant {
    int64_t ms;
};

enum { CALENDAR_FIRST_YEAR = 1900, CALENDAR_LAST_YEAR = 2999, CALENDAR_DATE_SIZE = 11, CALENDAR_INSTANT_SIZE = 25 };

bool calendar_is_leap_year(int year);
int calendar_days_in_month(int year, int month); /* month 1..12 */

/* The caller vouches that year, month and day exist (assert). */
struct day calendar_day(int year, int month, int day_of_month);
void calendar_split(struct day day, int *year, int *month, int *day_of_month);

/* `months` later (negative: earlier) in one step from `day`, clamped to the end of the month reached:
 * 2026-01-31 + 1 = 2026-02-28. Never chain steps: 31 January + 1 + 1 + 1 loses days. */
struct day calendar_add_months(struct day day, int months);

/* "YYYY-MM-DD", exactly 10 bytes, a real day. False: `*day` untouched, FAULT_INPUT with the reason. */
bool calendar_read_date(const char *text, size_t length, struct day *day, struct fault *fault);
/* Writes 10 characters and a NUL. Returns `text`. */
const char *calendar_write_date(struct day day, char text[CALENDAR_DATE_SIZE]);

/* "YYYYMMDD", exactly 8 digits, a real day (MH10.8.2 data identifiers 14D, 16D). */
bool calendar_read_compact(const char *text, size_t length, struct day *day, struct fault *fault);

/* "YYYY-MM-DDTHH:MM:SSZ" with optional ".mmm". */
bool calendar_read_instant(const char *text, size_t length, struct instant *instant, struct fault *fault);
/* Writes "YYYY-MM-DDTHH:MM:SS.mmmZ" and a NUL. Returns `text`. */
const char *calendar_write_instant(struct instant instant, char text[CALENDAR_INSTANT_SIZE]);

#endif
