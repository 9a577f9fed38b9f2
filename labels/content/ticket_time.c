#include "labels/content/ticket_time.h"

#include <string.h>

enum { DATE = 10, CLOCK = 6, MINUTES_A_DAY = 1440, MS_A_MINUTE = 60000, OFFSET_MAX = 14 * 60, COMPACT_DAY = 8 };

static bool two_digits(const char *at, int most, int *value)
{
    if (at[0] < '0' || at[0] > '9' || at[1] < '0' || at[1] > '9')
        return false;
    *value = (at[0] - '0') * 10 + (at[1] - '0');
    return *value <= most;
}

/* HH:MM or HHMM. */
static bool read_clock(const char *at, const char *parted, int most_hours, int *minutes)
{
    const size_t gap = strlen(parted);
    int hour, minute;
    if (!two_digits(at, most_hours, &hour) || memcmp(at + 2, parted, gap) != 0 ||
        !two_digits(at + 2 + gap, 59, &minute))
        return false;
    *minutes = hour * 60 + minute;
    return true;
}

/* ":SS" and ".mmm", which no ticket carries. */
static bool skip_seconds(struct span *rest)
{
    int seconds;
    if (rest->length >= 3 && rest->at[0] == ':') {
        if (!two_digits(rest->at + 1, 59, &seconds))
            return false;
        *rest = (struct span){rest->at + 3, rest->length - 3};
        if (rest->length > 1 && rest->at[0] == '.') {
            size_t digits = 1;
            while (digits < rest->length && rest->at[digits] >= '0' && rest->at[digits] <= '9')
                digits++;
            if (digits == 1)
                return false;
            *rest = (struct span){rest->at + digits, rest->length - digits};
        }
    }
    return true;
}

static bool read_zone(struct span rest, int *offset)
{
    if (span_equals(rest, "Z")) {
        *offset = 0;
        return true;
    }
    if (rest.length != CLOCK || (rest.at[0] != '+' && rest.at[0] != '-') ||
        !read_clock(rest.at + 1, ":", OFFSET_MAX / 60, offset) || *offset > OFFSET_MAX)
        return false;
    if (rest.at[0] == '-')
        *offset = -*offset;
    return true;
}

bool ticket_time_read(struct span text, struct ticket_time *time, struct fault *fault)
{
    char shown[48];
    struct ticket_time read = {.day_only = text.length == DATE};
    struct fault why = {FAULT_NONE, ""};
    if (text.length >= DATE && !calendar_read_date(text.at, DATE, &read.day, &why))
        return fault_set(fault, FAULT_INPUT, "%s", why.text);
    if (read.day_only) {
        *time = read;
        return true;
    }
    if (text.length > DATE + CLOCK && text.at[DATE] == 'T' && read_clock(text.at + DATE + 1, ":", 23, &read.minute)) {
        struct span rest = {text.at + DATE + CLOCK, text.length - DATE - CLOCK};
        if (skip_seconds(&rest) && read_zone(rest, &read.offset_minutes)) {
            *time = read;
            return true;
        }
    }
    return fault_set(fault, FAULT_INPUT,
                     "'%s' is no end of a job: write 2026-11-26, 2026-11-26T18:30Z or 2026-11-26T19:30+01:00",
                     text_show(text, shown, sizeof shown));
}

const char *ticket_time_words(const struct ticket_time *time, char words[TICKET_TIME_WORDS_SIZE])
{
    static const char months[][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    int year, month, day;
    struct builder out;
    calendar_split(time->day, &year, &month, &day);
    builder_init(&out, words, TICKET_TIME_WORDS_SIZE);
    builder_addf(&out, "%d %s", day, months[month - 1]);
    if (time->day_only)
        builder_addf(&out, " %d", year);
    else
        builder_addf(&out, " %02d:%02d%s", time->minute / 60, time->minute % 60,
                     time->offset_minutes == 0 ? " UTC" : "");
    return words;
}

/* The same in UTC, which may be the day before or after. */
static struct ticket_time in_utc(const struct ticket_time *time)
{
    struct ticket_time utc = *time;
    if (time->day_only)
        return utc;
    utc.minute -= time->offset_minutes;
    utc.offset_minutes = 0;
    while (utc.minute < 0) {
        utc.minute += MINUTES_A_DAY;
        utc.day.number--;
    }
    while (utc.minute >= MINUTES_A_DAY) {
        utc.minute -= MINUTES_A_DAY;
        utc.day.number++;
    }
    return utc;
}

const char *ticket_time_compact(const struct ticket_time *time, char text[TICKET_TIME_COMPACT_SIZE])
{
    const struct ticket_time utc = in_utc(time);
    int year, month, day;
    struct builder out;
    calendar_split(utc.day, &year, &month, &day);
    builder_init(&out, text, TICKET_TIME_COMPACT_SIZE);
    builder_addf(&out, "%04d%02d%02d", year, month, day);
    if (!utc.day_only)
        builder_addf(&out, "%02d%02d", utc.minute / 60, utc.minute % 60);
    return text;
}

bool ticket_time_read_compact(struct span text, struct ticket_time *time, struct fault *fault)
{
    char shown[48];
    struct ticket_time read = {.day_only = text.length == COMPACT_DAY};
    struct fault why = {FAULT_NONE, ""};
    int seconds = 0;
    const bool shape = read.day_only || text.length == COMPACT_DAY + 4 || text.length == COMPACT_DAY + 6;
    if (shape && !calendar_read_compact(text.at, COMPACT_DAY, &read.day, &why))
        return fault_set(fault, FAULT_INPUT, "%s", why.text);
    if (!shape || (!read.day_only && !read_clock(text.at + COMPACT_DAY, "", 23, &read.minute)) ||
        (text.length == COMPACT_DAY + 6 && !two_digits(text.at + COMPACT_DAY + 4, 59, &seconds)))
        return fault_set(fault, FAULT_INPUT,
                         "the ticket's end '%s' (23D) is not YYYYMMDDHHMM in UTC, nor YYYYMMDD: print the ticket again",
                         text_show(text, shown, sizeof shown));
    *time = read;
    return true;
}

bool ticket_time_instant(const struct ticket_time *time, struct instant *instant)
{
    if (time->day_only)
        return false;
    const struct ticket_time utc = in_utc(time);
    instant->ms = ((int64_t)utc.day.number * MINUTES_A_DAY + utc.minute) * MS_A_MINUTE;
    return true;
}

struct ticket_time ticket_time_of(struct instant instant, int offset_minutes)
{
    const int64_t minutes =
        (instant.ms >= 0 ? instant.ms : instant.ms - MS_A_MINUTE + 1) / MS_A_MINUTE + offset_minutes;
    const int64_t day = (minutes >= 0 ? minutes : minutes - MINUTES_A_DAY + 1) / MINUTES_A_DAY;
    return (struct ticket_time){
        .day = {(int32_t)day}, .minute = (int)(minutes - day * MINUTES_A_DAY), .offset_minutes = offset_minutes};
}
