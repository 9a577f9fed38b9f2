#include "labels/basics/calendar.h"

#include <assert.h>
#include <stdio.h>

#include "labels/basics/text.h"

enum { MS_A_DAY = 86400000 };

bool calendar_is_leap_year(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

int calendar_days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    assert(month >= 1 && month <= 12);
    return month == 2 && calendar_is_leap_year(year) ? 29 : days[month - 1];
}

/* Years are counted from March, so that the leap day is the last of its year and needs no case of its own; eras of
 * 400 years have 146 097 days. */
struct day calendar_day(int year, int month, int day_of_month)
{
    assert(month >= 1 && month <= 12 && day_of_month >= 1 && day_of_month <= calendar_days_in_month(year, month));
    const int y = month <= 2 ? year - 1 : year;
    const int era = (y >= 0 ? y : y - 399) / 400;
    const int year_of_era = y - era * 400;
    const int day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day_of_month - 1;
    const int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return (struct day){era * 146097 + day_of_era - 719468};
}

void calendar_split(struct day day, int *year, int *month, int *day_of_month)
{
    const int z = day.number + 719468;
    const int era = (z >= 0 ? z : z - 146096) / 146097;
    const int day_of_era = z - era * 146097;
    const int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    const int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    const int march_month = (5 * day_of_year + 2) / 153;
    *day_of_month = day_of_year - (153 * march_month + 2) / 5 + 1;
    *month = march_month < 10 ? march_month + 3 : march_month - 9;
    *year = year_of_era + era * 400 + (*month <= 2);
}

struct day calendar_add_months(struct day day, int months)
{
    int year, month, day_of_month;
    calendar_split(day, &year, &month, &day_of_month);
    int index = year * 12 + month - 1 + months;
    year = index / 12;
    month = index % 12 + 1;
    const int last = calendar_days_in_month(year, month);
    return calendar_day(year, month, day_of_month < last ? day_of_month : last);
}

static bool digits(const char *text, size_t length, int *value)
{
    int total = 0;
    for (size_t i = 0; i < length; i++) {
        if (text[i] < '0' || text[i] > '9') /* not isdigit(): the locale has no say in a bar code */
            return false;
        total = total * 10 + (text[i] - '0');
    }
    *value = total;
    return true;
}

static bool real_day(int year, int month, int day_of_month, struct day *day, struct fault *fault)
{
    if (year < CALENDAR_FIRST_YEAR || year > CALENDAR_LAST_YEAR)
        return fault_set(fault, FAULT_INPUT, "year %d is not between %d and %d: check the date", year,
                         CALENDAR_FIRST_YEAR, CALENDAR_LAST_YEAR);
    if (month < 1 || month > 12)
        return fault_set(fault, FAULT_INPUT, "month %02d is not 01 to 12: check the date", month);
    const int last = calendar_days_in_month(year, month);
    if (day_of_month < 1 || day_of_month > last)
        return fault_set(fault, FAULT_INPUT, "day %02d does not exist, %04d-%02d has days 01 to %d: check the date",
                         day_of_month, year, month, last);
    *day = calendar_day(year, month, day_of_month);
    return true;
}

bool calendar_read_date(const char *text, size_t length, struct day *day, struct fault *fault)
{
    char shown[40];
    int year, month, day_of_month;
    if (length != 10 || !digits(text, 4, &year) || text[4] != '-' || !digits(text + 5, 2, &month) || text[7] != '-' ||
        !digits(text + 8, 2, &day_of_month))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a date: write it as YYYY-MM-DD",
                         text_show((struct span){text, length}, shown, sizeof shown));
    return real_day(year, month, day_of_month, day, fault);
}

const char *calendar_write_date(struct day day, char text[CALENDAR_DATE_SIZE])
{
    int year, month, day_of_month;
    calendar_split(day, &year, &month, &day_of_month);
    assert(year >= 0 && year <= 9999);
    (void)snprintf(text, CALENDAR_DATE_SIZE, "%04u-%02u-%02u", (unsigned)year % 10000, (unsigned)month % 100,
                   (unsigned)day_of_month % 100);
    return text;
}

bool calendar_read_compact(const char *text, size_t length, struct day *day, struct fault *fault)
{
    char shown[40];
    int year, month, day_of_month;
    if (length != 8 || !digits(text, 4, &year) || !digits(text + 4, 2, &month) || !digits(text + 6, 2, &day_of_month))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a date of 8 digits (YYYYMMDD): scan again",
                         text_show((struct span){text, length}, shown, sizeof shown));
    return real_day(year, month, day_of_month, day, fault);
}

bool calendar_read_instant(const char *text, size_t length, struct instant *instant, struct fault *fault)
{
    char shown[40];
    int hour, minute, second, ms = 0;
    struct day day = {0};
    const bool has_ms = length == 24;
    if ((length != 20 && !has_ms) || text[10] != 'T' || !digits(text + 11, 2, &hour) || text[13] != ':' ||
        !digits(text + 14, 2, &minute) || text[16] != ':' || !digits(text + 17, 2, &second) ||
        text[length - 1] != 'Z' || (has_ms && (text[19] != '.' || !digits(text + 20, 3, &ms))) || hour > 23 ||
        minute > 59 || second > 59)
        return fault_set(fault, FAULT_INPUT, "'%s' is not an instant: write it as YYYY-MM-DDTHH:MM:SSZ",
                         text_show((struct span){text, length}, shown, sizeof shown));
    if (!calendar_read_date(text, 10, &day, fault))
        return false;
    instant->ms = (int64_t)day.number * MS_A_DAY + ((hour * 60 + minute) * 60 + second) * (int64_t)1000 + ms;
    return true;
}

const char *calendar_write_instant(struct instant instant, char text[CALENDAR_INSTANT_SIZE])
{
    int64_t days = instant.ms / MS_A_DAY, rest = instant.ms % MS_A_DAY;
    if (rest < 0) {
        rest += MS_A_DAY;
        days--;
    }
    char date[CALENDAR_DATE_SIZE];
    calendar_write_date((struct day){(int32_t)days}, date);
    (void)snprintf(text, CALENDAR_INSTANT_SIZE, "%.10sT%02u:%02u:%02u.%03uZ", date, (unsigned)(rest / 3600000) % 100,
                   (unsigned)(rest / 60000 % 60), (unsigned)(rest / 1000 % 60), (unsigned)(rest % 1000));
    return text;
}
