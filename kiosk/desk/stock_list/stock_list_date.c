#include <string.h>

#include "kiosk/desk/stock_list/stock_list_value.h"
#include "labels/basics/text.h"
#include "labels/content/gs1_date.h"

enum { YEARS_AWAY = 30, PARTS = 3, COMPACT = 8, DAY_NUMBER = 5 };

#define AS_ISO "write it as 2027-03-31"

static const char *const order_words[STOCK_LIST_ORDERS] = {"", "ymd", "dmy", "mdy"};

const char *stock_list_order_word(enum stock_list_order order)
{
    return order_words[order];
}

bool stock_list_order_read(const char *word, enum stock_list_order *order)
{
    for (int i = STOCK_LIST_YMD; i < STOCK_LIST_ORDERS; i++) {
        if (strcmp(order_words[i], word) != 0)
            continue;
        *order = i;
        return true;
    }
    return false;
}

/* Numbers between marks, as written. */
struct parts {
    int value[PARTS];
    size_t digits[PARTS];
    int count;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* "31.03.2027", "31 / 3 / 27": one kind of mark (. / - or a blank), the same everywhere. */
static bool split(struct span text, struct parts *parts)
{
    char mark = '\0';
    size_t at = 0;
    memset(parts, 0, sizeof *parts);
    while (parts->count < PARTS) {
        int *value = &parts->value[parts->count];
        size_t *digits = &parts->digits[parts->count];
        for (; at < text.length && is_digit(text.at[at]) && *digits <= COMPACT; at++, ++*digits)
            *value = *value * 10 + (text.at[at] - '0');
        if (*digits == 0 || *digits > COMPACT)
            return false;
        parts->count++;
        if (at == text.length)
            return true;
        const size_t start = at;
        char here = ' ';
        for (; at < text.length && strchr(" ./-", text.at[at]); at++) {
            if (text.at[at] == ' ')
                continue;
            if (here != ' ')
                return false;
            here = text.at[at];
        }
        if (at == start || at == text.length || (mark != '\0' && mark != here))
            return false;
        mark = here;
    }
    return false;
}

/* Spreadsheets add a time of day to dates; midnight says nothing. */
static struct span without_midnight(const char *cell)
{
    static const char *const midnights[] = {" 00:00:00", " 00:00", " 0:00:00", " 0:00", "T00:00:00", "T00:00"};
    struct span text = span_of(cell);
    for (size_t i = 0; i < sizeof midnights / sizeof *midnights; i++) {
        const size_t length = strlen(midnights[i]);
        if (text.length > length && memcmp(text.at + text.length - length, midnights[i], length) == 0)
            return (struct span){text.at, text.length - length};
    }
    return text;
}

static bool refuse_form(const char *cell, struct fault *fault)
{
    bool letters = false, colon = false;
    for (const char *at = cell; *at; at++) {
        letters = letters || (*at & 0x80) || (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z');
        colon = colon || *at == ':';
    }
    if (strlen(cell) == DAY_NUMBER && strspn(cell, "0123456789") == DAY_NUMBER)
        return fault_set(fault, FAULT_INPUT,
                         "'%s' is a spreadsheet's own day number: show the column as dates there (YYYY-MM-DD) and save "
                         "it as CSV again",
                         cell);
    if (colon)
        return fault_set(fault, FAULT_INPUT, "'%s' has a time of day: leave it out, " AS_ISO, cell);
    if (letters)
        return fault_set(fault, FAULT_INPUT, "'%s' is not a date in digits: " AS_ISO, cell);
    return fault_set(fault, FAULT_INPUT, "'%s' is not a date: " AS_ISO, cell);
}

static bool set_day(const char *cell, int year, int month, int day_of_month, int this_year,
                    struct stock_list_date *date, struct fault *fault)
{
    if (month < 1 || month > 12)
        return fault_set(fault, FAULT_INPUT, "'%s' has month %d: correct it, or choose another order of the dates",
                         cell, month);
    if (year < this_year - YEARS_AWAY || year > this_year + YEARS_AWAY || year < CALENDAR_FIRST_YEAR ||
        year > CALENDAR_LAST_YEAR)
        return fault_set(fault, FAULT_INPUT, "'%s' has year %d, more than %d years from now: correct it", cell, year,
                         YEARS_AWAY);
    const int last = calendar_days_in_month(year, month);
    if (date->month_only)
        day_of_month = last;
    if (day_of_month < 1 || day_of_month > last)
        return fault_set(fault, FAULT_INPUT,
                         "'%s' has day %d, but %04d-%02d has days 1 to %d: correct it, or choose another order of "
                         "the dates",
                         cell, day_of_month, year, month, last);
    date->day = calendar_day(year, month, day_of_month);
    return true;
}

static bool read_two(const char *cell, const struct parts *parts, int this_year, struct stock_list_date *date,
                     struct fault *fault)
{
    const bool year_first = parts->digits[0] == 4 && parts->digits[1] <= 2;
    if (!year_first && !(parts->digits[1] == 4 && parts->digits[0] <= 2))
        return fault_set(fault, FAULT_INPUT,
                         "'%s' may be a month and a year or a day and a month: write the year with four digits", cell);
    date->month_only = true;
    return set_day(cell, parts->value[year_first ? 0 : 1], parts->value[year_first ? 1 : 0], 0, this_year, date, fault);
}

/* Places of year, month, day. */
static const int places[STOCK_LIST_ORDERS][3] = {
    [STOCK_LIST_YMD] = {0, 1, 2}, [STOCK_LIST_DMY] = {2, 1, 0}, [STOCK_LIST_MDY] = {2, 0, 1}};

/* A year has two or four digits, a month and a day one or two. */
static bool has_form(const struct parts *parts, enum stock_list_order order)
{
    for (int i = 0; i < PARTS; i++) {
        const size_t digits = parts->digits[i];
        if (i == places[order][0] ? digits != 2 && digits != 4 : digits > 2)
            return false;
    }
    return true;
}

static bool read_three(const char *cell, const struct parts *parts, enum stock_list_order order, int this_year,
                       struct stock_list_date *date, struct fault *fault)
{
    const bool exact = parts->digits[0] == 4, asks = !exact && order == STOCK_LIST_ORDER_ASK;
    bool good = false;
    for (int i = STOCK_LIST_YMD; i < STOCK_LIST_ORDERS && asks; i++)
        good = good || has_form(parts, i);
    if (exact)
        order = STOCK_LIST_YMD;
    if (!(asks ? good : has_form(parts, order)))
        return fault_set(fault, FAULT_INPUT, "'%s' is no date%s: " AS_ISO, cell,
                         exact || asks ? "" : " in the order that was chosen");
    date->asks = asks;
    if (asks)
        return true;
    int year = parts->value[places[order][0]];
    date->two_digits = parts->digits[places[order][0]] == 2;
    date->by_order = !exact;
    if (date->two_digits)
        year = gs1_date_year(year, this_year);
    return set_day(cell, year, parts->value[places[order][1]], parts->value[places[order][2]], this_year, date, fault);
}

bool stock_list_date_read(const char *cell, enum stock_list_order order, int this_year, struct stock_list_date *date,
                          struct fault *fault)
{
    struct stock_list_date read = {.asks = false};
    struct parts parts;
    const struct span text = without_midnight(cell);
    const char *shown = STOCK_LIST_SHOW(cell);
    if (!split(text, &parts))
        return refuse_form(shown, fault);
    if (parts.count == 1) { /* ISO 8601 basic form: 20270331 */
        if (parts.digits[0] != COMPACT)
            return refuse_form(shown, fault);
        if (!set_day(shown, parts.value[0] / 10000, parts.value[0] / 100 % 100, parts.value[0] % 100, this_year, &read,
                     fault))
            return false;
    } else if (!(parts.count == 2 ? read_two(shown, &parts, this_year, &read, fault)
                                  : read_three(shown, &parts, order, this_year, &read, fault))) {
        return false;
    }
    *date = read;
    return true;
}
