#include "labels/content/data_identifier.h"

#include <string.h>

#include "labels/content/data_identifier_table.h"
#include "labels/content/gs1_date.h"

enum { QUANTITY_DIGITS = 8, DECIMALS = 6, MILLION = 1000000, WEEKS = 53, DATE_CODE_BYTES = 3, DATE_BYTES = 8 };

static const struct data_identifier *kind_of(const char *name)
{
    for (size_t i = 0; i < data_identifier_table_size; i++)
        if (strcmp(data_identifier_table[i].name, name) == 0)
            return &data_identifier_table[i];
    return NULL;
}

/* Bytes of the identifier at the start of `field`, 0 when there is none. */
static size_t identifier_length(struct span field)
{
    size_t digits = 0;
    while (digits < field.length && field.at[digits] >= '0' && field.at[digits] <= '9')
        digits++;
    if (digits > 3 || digits == field.length || field.at[digits] < 'A' || field.at[digits] > 'Z')
        return 0;
    return digits + 1;
}

static bool all_digits(struct span text)
{
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
    return text.length > 0;
}

/* `value` as YYMMDD, whatever its own order of day, month and year. */
static bool short_date(struct span value, const char order[6], bool day_00_allowed, struct day today,
                       struct data_field *out, struct fault *fault)
{
    char date[6];
    if (value.length != sizeof date)
        return fault_set(fault, FAULT_INPUT, "a date of %zu characters where 6 digits belong", value.length);
    for (size_t i = 0; i < sizeof date; i++)
        date[i] = value.at[order[i] - '0'];
    out->has_day =
        gs1_date_read((struct span){date, sizeof date}, today, day_00_allowed, &out->day, &out->day_was_00, fault);
    return out->has_day;
}

static bool long_date(struct span value, bool day_first, struct data_field *out, struct fault *fault)
{
    char date[8];
    if (value.length != sizeof date)
        return fault_set(fault, FAULT_INPUT, "a date of %zu characters where 8 digits belong", value.length);
    if (day_first) {
        memcpy(date, value.at + 4, 4);
        memcpy(date + 4, value.at + 2, 2);
        memcpy(date + 6, value.at, 2);
    } else {
        memcpy(date, value.at, sizeof date);
    }
    out->has_day = calendar_read_compact(date, sizeof date, &out->day, fault);
    return out->has_day;
}

/* YYDDD or, with the decade left open, YDDD. */
static bool ordinal_date(struct span value, size_t year_digits, struct day today, struct data_field *out,
                         struct fault *fault)
{
    int64_t number;
    if (value.length != year_digits + 3 || !all_digits(value) || !span_read_count(value, &number))
        return fault_set(fault, FAULT_INPUT, "an ordinal date of %zu characters where %zu digits belong", value.length,
                         year_digits + 3);
    int this_year, month, day_of_month, last = 366;
    calendar_split(today, &this_year, &month, &day_of_month);
    const int year = gs1_date_year((int)(number / 1000) % 100, this_year), ordinal = (int)(number % 1000);
    if (year_digits == 2)
        last = calendar_is_leap_year(year) ? 366 : 365;
    if (ordinal < 1 || ordinal > last)
        return fault_set(fault, FAULT_INPUT, "an ordinal date with day %03d, not 001 to %d", ordinal, last);
    if (year_digits == 2 && year >= CALENDAR_FIRST_YEAR && year <= CALENDAR_LAST_YEAR) {
        out->day = (struct day){calendar_day(year, 1, 1).number + ordinal - 1};
        out->has_day = true;
    }
    return true;
}

/* ISO 8601-1: week 1 holds the first Thursday, so a year has 53 when it begins or ends with one. */
static int weeks_of(int year)
{
    enum { DAYS = 7 }; /* day 0, 1970-01-01, was a Thursday */
    const bool long_year = calendar_day(year, 1, 1).number % DAYS == 0 || calendar_day(year, 12, 31).number % DAYS == 0;
    return long_year ? WEEKS : WEEKS - 1;
}

static bool week(struct span value, size_t length, struct day today, struct fault *fault)
{
    int64_t number;
    int this_year, month, day_of_month, last = WEEKS;
    if (value.length != length || !span_read_count(value, &number))
        return fault_set(fault, FAULT_INPUT, "a week of %zu characters where %zu digits belong", value.length, length);
    calendar_split(today, &this_year, &month, &day_of_month);
    const int year = length == 4 ? gs1_date_year((int)(number / 100), this_year) : (int)(number / 100);
    if (year >= CALENDAR_FIRST_YEAR && year <= CALENDAR_LAST_YEAR)
        last = weeks_of(year);
    if (number % 100 < 1 || number % 100 > last)
        return fault_set(fault, FAULT_INPUT, "week %02d, but %d has weeks 01 to %d", (int)(number % 100), year, last);
    return true;
}

/* A moment in the life of a radio tag: checked, and never taken for a date of the label. */
static bool tag_time(struct span value, struct fault *fault)
{
    struct day unused;
    int64_t time;
    if (value.length != DATE_BYTES + 4)
        return fault_set(fault, FAULT_INPUT, "a time of %zu characters where 12 digits belong", value.length);
    if (!calendar_read_compact(value.at, DATE_BYTES, &unused, fault))
        return false;
    if (!span_read_count((struct span){value.at + DATE_BYTES, 4}, &time) || time / 100 > 23 || time % 100 > 59)
        return fault_set(fault, FAULT_INPUT, "a time of day that is not 0000 to 2359");
    return true;
}

/* The date without the three digits after it that say what it means. */
static struct span without_code(struct span value)
{
    const size_t code = value.length < DATE_CODE_BYTES ? value.length : DATE_CODE_BYTES;
    return (struct span){value.at, value.length - code};
}

static bool value_check(enum data_form form, struct span value, struct day today, struct data_field *out,
                        struct fault *fault)
{
    char unit[3];
    int64_t millionths;
    switch (form) {
    case DATA_QUANTITY:
        return data_identifier_quantity(value, &millionths) ||
               fault_set(fault, FAULT_INPUT, "no number of up to 8 digits");
    case DATA_MEASURE:
        return data_identifier_measure(value, &millionths, unit) ||
               fault_set(fault, FAULT_INPUT, "no number of up to 8 digits with a unit of two letters, such as 1000ML");
    case DATA_YYMMDD:
        return short_date(value, "012345", true, today, out, fault);
    case DATA_DDMMYY:
        return short_date(value, "452301", false, today, out, fault);
    case DATA_MMDDYY:
        return short_date(value, "450123", false, today, out, fault);
    case DATA_YDDD:
        return ordinal_date(value, 1, today, out, fault);
    case DATA_YYDDD:
        return ordinal_date(value, 2, today, out, fault);
    case DATA_YYMMDD_CODE:
        return short_date(without_code(value), "012345", false, today, out, fault);
    case DATA_YYYYMMDD_CODE:
        return long_date(without_code(value), false, out, fault);
    case DATA_YYWW:
        return week(value, 4, today, fault);
    case DATA_YYYYWW:
        return week(value, 6, today, fault);
    case DATA_YYYYMMDD:
        return long_date(value, false, out, fault);
    case DATA_DDMMYYYY:
        return long_date(value, true, out, fault);
    case DATA_YYYYMMDDHHMM:
        return tag_time(value, fault);
    default:
        return true;
    }
}

bool data_identifier_read(struct span field, struct day today, struct data_field *out, struct fault *fault)
{
    char shown[48];
    const size_t length = identifier_length(field);
    if (length == 0)
        return fault_set(fault, FAULT_INPUT,
                         "field '%s' does not begin with a data identifier (up to three digits and a capital letter): "
                         "scan again; if a keyboard-type scanner sent it, check its caps lock and layout settings",
                         text_show(field, shown, sizeof shown));
    struct data_field result = {.value = {field.at + length, field.length - length}};
    (void)span_copy((struct span){field.at, length}, result.name, sizeof result.name);
    result.kind = kind_of(result.name);
    if (result.value.length == 0)
        return fault_set(fault, FAULT_INPUT, "field %s has no value: the code is cut, scan again", result.name);
    struct fault why = {FAULT_NONE, ""};
    if (result.kind && !value_check(result.kind->form, result.value, today, &result, &why))
        return fault_set(fault, FAULT_INPUT, "field %s (%s) '%s': %s; scan again", result.name, result.kind->title,
                         text_show(result.value, shown, sizeof shown), why.text);
    *out = result;
    return true;
}

bool data_identifier_quantity(struct span text, int64_t *millionths)
{
    const char *const point = text.length > 0 ? memchr(text.at, '.', text.length) : NULL;
    const struct span whole = {text.at, point ? (size_t)(point - text.at) : text.length};
    int64_t value;
    if (whole.length > QUANTITY_DIGITS || !span_read_count(whole, &value))
        return false;
    value *= MILLION;
    if (point) {
        struct span decimals = {point + 1, text.length - whole.length - 1};
        int64_t fraction;
        if (decimals.length > DECIMALS || !span_read_count(decimals, &fraction))
            return false;
        for (size_t i = decimals.length; i < DECIMALS; i++)
            fraction *= 10;
        value += fraction;
    }
    *millionths = value;
    return true;
}

bool data_identifier_measure(struct span value, int64_t *millionths, char unit[3])
{
    if (value.length < 3)
        return false;
    const struct span code = {value.at + value.length - 2, 2};
    size_t letters = 0; /* codes of two digits exist, but there a unit left out would pass unseen */
    for (size_t i = 0; i < code.length; i++) {
        const bool letter = code.at[i] >= 'A' && code.at[i] <= 'Z';
        letters += letter;
        if (!letter && (code.at[i] < '0' || code.at[i] > '9'))
            return false;
    }
    if (letters == 0)
        return false;
    if (!data_identifier_quantity((struct span){value.at, value.length - 2}, millionths))
        return false;
    memcpy(unit, code.at, 2);
    unit[2] = '\0';
    return true;
}

const struct data_field *data_identifier_find(const struct data_field *fields, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(fields[i].name, name) == 0)
            return &fields[i];
    return NULL;
}
