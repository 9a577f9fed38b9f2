#include "labels/content/gs1_date.h"

#include <assert.h>

enum { DATE_BYTES = 6, WINDOW_AHEAD = 50 };

int gs1_date_year(int two_digits, int this_year)
{
    assert(two_digits >= 0 && two_digits <= 99);
    const int distance = two_digits - this_year % 100;
    const int year = this_year - this_year % 100 + two_digits;
    if (distance > WINDOW_AHEAD)
        return year - 100;
    return distance <= -WINDOW_AHEAD ? year + 100 : year;
}

bool gs1_date_read(struct span text, struct day today, bool day_00_allowed, struct day *day, bool *day_was_00,
                   struct fault *fault)
{
    char shown[32];
    int64_t value;
    if (text.length != DATE_BYTES || !span_read_count(text, &value))
        return fault_set(fault, FAULT_INPUT, "date '%s' is not six digits (YYMMDD): scan again",
                         text_show(text, shown, sizeof shown));
    int this_year, unused_month, unused_day;
    calendar_split(today, &this_year, &unused_month, &unused_day);
    const int year = gs1_date_year((int)(value / 10000), this_year);
    const int month = (int)(value / 100 % 100), day_of_month = (int)(value % 100);
    if (year < CALENDAR_FIRST_YEAR || year > CALENDAR_LAST_YEAR)
        return fault_set(fault, FAULT_INPUT, "date '%06d' falls in year %d: check this machine's clock", (int)value,
                         year);
    if (month < 1 || month > 12)
        return fault_set(fault, FAULT_INPUT, "date '%06d' has month %02d, not 01 to 12: scan again", (int)value, month);
    const int last = calendar_days_in_month(year, month);
    if (day_of_month > last || (day_of_month == 0 && !day_00_allowed))
        return fault_set(fault, FAULT_INPUT, "date '%06d' has day %02d, but %04d-%02d has days 01 to %d: scan again",
                         (int)value, day_of_month, year, month, last);
    *day = calendar_day(year, month, day_of_month == 0 ? last : day_of_month);
    if (day_was_00)
        *day_was_00 = day_of_month == 0;
    return true;
}
