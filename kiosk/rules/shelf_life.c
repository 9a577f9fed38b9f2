#include "kiosk/rules/shelf_life.h"

#include "labels/content/gs1_date.h"

static bool is_known(const struct shelf_life_span *life)
{
    return life->months != RULE_NO_COUNT || life->days != RULE_NO_COUNT;
}

/* A life and the keys it goes by. */
struct counted {
    const struct shelf_life_span *life;
    struct day from;
    const char *from_key, *months_key, *days_key;
};

static bool check(const struct counted *counted, struct day today, bool needs_life, struct rule_fault *fault)
{
    if (counted->life->months != RULE_NO_COUNT && counted->life->days != RULE_NO_COUNT)
        return rule_fault_set(fault, RULE_CONFLICT, counted->days_key, "'%s' and '%s' are both given: give one of them",
                              counted->months_key, counted->days_key);
    if (rule_has_day(counted->from) && counted->from.number > today.number)
        return rule_fault_set(fault, RULE_CONFLICT, counted->from_key, "'%s' is after today: check the date",
                              counted->from_key);
    if (needs_life && rule_has_day(counted->from) && !is_known(counted->life))
        return rule_fault_set(fault, RULE_CONFLICT, counted->from_key,
                              "'%s' says nothing without a life: give '%s' or '%s' too", counted->from_key,
                              counted->months_key, counted->days_key);
    if (needs_life && !rule_has_day(counted->from) && is_known(counted->life))
        return rule_fault_set(fault, RULE_CONFLICT,
                              counted->life->months != RULE_NO_COUNT ? counted->months_key : counted->days_key,
                              "a life is given, but not from when: give '%s' too", counted->from_key);
    return true;
}

/* Last usable day; RULE_NO_DAY when the origin or the life is not known. */
static bool end_of(const struct counted *counted, struct day *end, struct rule_fault *fault)
{
    enum { MONTHS = 12 * (CALENDAR_LAST_YEAR - CALENDAR_FIRST_YEAR + 1) };
    const struct day last = calendar_day(CALENDAR_LAST_YEAR, 12, 31);
    const int64_t months = counted->life->months, days = counted->life->days;
    *end = RULE_NO_DAY;
    if (!rule_has_day(counted->from) || !is_known(counted->life))
        return true;
    if (months != RULE_NO_COUNT && months <= MONTHS)
        *end = calendar_add_months(counted->from, (int)months);
    else if (months == RULE_NO_COUNT && days <= last.number - counted->from.number)
        end->number = counted->from.number + (int32_t)days;
    if (rule_has_day(*end) && end->number <= last.number)
        return true;
    const char *key = months != RULE_NO_COUNT ? counted->months_key : counted->days_key;
    return rule_fault_set(fault, RULE_RANGE, key, "'%s' leads beyond the year %d: check the life", key,
                          CALENDAR_LAST_YEAR);
}

static bool read_gs1(const struct shelf_life_case *asked, struct day *day, bool *day_was_00, struct rule_fault *fault)
{
    struct fault reason = {0};
    const struct span text = span_of(asked->gs1_date);
    int64_t value = 0;
    int this_year, month, day_of_month;
    *day = RULE_NO_DAY;
    if (!asked->gs1_date)
        return true;
    calendar_split(asked->today, &this_year, &month, &day_of_month);
    const int year =
        text.length == 6 && span_read_count(text, &value) ? gs1_date_year((int)(value / 10000), this_year) : this_year;
    if (year < CALENDAR_FIRST_YEAR || year > CALENDAR_LAST_YEAR)
        return rule_fault_set(fault, RULE_RANGE, "gs1_date",
                              "'gs1_date' falls in the year %d, seen from %d: check both", year, this_year);
    return gs1_date_read(text, asked->today, true, day, day_was_00, &reason) ||
           rule_fault_set(fault, RULE_DATE, "gs1_date", "'gs1_date': %s", reason.text);
}

static void take_earlier(struct day candidate, const char *by, struct shelf_life_answer *answer)
{
    if (!rule_has_day(candidate) || (rule_has_day(answer->expires) && answer->expires.number <= candidate.number))
        return;
    answer->expires = candidate;
    answer->limited_by = by;
}

static void say_unknown(const struct shelf_life_case *asked, struct shelf_life_answer *answer)
{
    static const char why[] = "no date is known, of the lot or of its opening: read it off the label";
    static const char *const keys[] = {"lot_expires", "expires", "limited_by", "days_left", "expired"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], why);
    if (rule_has_day(asked->needed_until))
        rule_set_unknown(&answer->said, "usable_then", why);
    if (asked->minimum_days != RULE_NO_COUNT)
        rule_set_unknown(&answer->said, "short_dated", why);
    answer->said.sentence = "Nobody knows how long it may be used: read the date off the label and enter it.";
}

static const char *reason_of(const struct shelf_life_answer *answer)
{
    switch (answer->limited_by[0]) {
    case 'l':
        return "the date on the label";
    case 'g':
        return answer->day_was_00 ? "the supplier's code, which names the month only"
                                  : "the date in the supplier's code";
    case 'm':
        return "its life from the day it was made";
    default:
        return "its open life";
    }
}

static void say_known(struct arena *arena, struct shelf_life_answer *answer)
{
    char date[CALENDAR_DATE_SIZE];
    const long long left = answer->days_left;
    const char *reason = reason_of(answer), *more = "";
    calendar_write_date(answer->expires, date);
    if (answer->expired == TRUTH_NO && answer->usable_then == TRUTH_NO)
        more = " That is before it is needed: take another.";
    else if (answer->expired == TRUTH_NO && answer->short_dated == TRUTH_YES)
        more = " That is short-dated: hold it and ask the supplier.";
    if (answer->expired == TRUTH_YES)
        answer->said.sentence = rule_text(arena, "Expired %lld day%s ago, on %s (%s): do not use it, put it on hold.",
                                          -left, left == -1 ? "" : "s", date, reason);
    else if (left == 0)
        answer->said.sentence = rule_text(arena, "Today, %s, is the last usable day (%s).%s", date, reason, more);
    else
        answer->said.sentence = rule_text(arena, "Usable through %s, %lld day%s left (%s).%s", date, left,
                                          left == 1 ? "" : "s", reason, more);
}

/* Of an answer that has its date. */
static void judge(const struct shelf_life_case *asked, struct shelf_life_answer *answer)
{
    answer->days_left = (int64_t)answer->expires.number - asked->today.number;
    answer->expired = answer->days_left < 0 ? TRUTH_YES : TRUTH_NO;
    if (rule_has_day(asked->needed_until))
        answer->usable_then = answer->expires.number >= asked->needed_until.number ? TRUTH_YES : TRUTH_NO;
    if (asked->minimum_days != RULE_NO_COUNT)
        answer->short_dated = answer->days_left < asked->minimum_days ? TRUTH_YES : TRUTH_NO;
}

static struct shelf_life_answer nothing_known(void)
{
    return (struct shelf_life_answer){.said = {.method = "earliest date, usable through its end"},
                                      .lot_expires = RULE_NO_DAY,
                                      .open_expires = RULE_NO_DAY,
                                      .expires = RULE_NO_DAY,
                                      .days_left = RULE_NO_COUNT,
                                      .expired = TRUTH_NULL,
                                      .usable_then = TRUTH_NULL,
                                      .short_dated = TRUTH_NULL};
}

struct shelf_life_answer shelf_life_of(struct day expires, struct day today, int64_t minimum_days)
{
    const struct shelf_life_case asked = {.today = today, .needed_until = RULE_NO_DAY, .minimum_days = minimum_days};
    struct shelf_life_answer answer = nothing_known();
    take_earlier(expires, "label", &answer);
    answer.lot_expires = answer.expires;
    if (rule_has_day(expires))
        judge(&asked, &answer);
    return answer;
}

struct day shelf_life_first_usable(struct day today)
{
    return today; /* through its end */
}

bool shelf_life(const struct shelf_life_case *asked, struct arena *arena, struct shelf_life_answer *answer,
                struct rule_fault *fault)
{
    const struct counted made = {&asked->life, asked->made, "made", "life_months", "life_days"},
                         opened = {&asked->open_life, asked->opened, "opened", "open_life_months", "open_life_days"};
    struct day from_gs1, from_made;
    *answer = nothing_known();
    if (!check(&made, asked->today, true, fault) || !check(&opened, asked->today, false, fault) ||
        !read_gs1(asked, &from_gs1, &answer->day_was_00, fault) || !end_of(&made, &from_made, fault) ||
        !end_of(&opened, &answer->open_expires, fault))
        return false;
    take_earlier(asked->expires, "label", answer);
    take_earlier(from_gs1, "gs1", answer);
    take_earlier(from_made, "made", answer);
    answer->lot_expires = answer->expires;
    take_earlier(answer->open_expires, "opened", answer);
    if (rule_has_day(asked->opened) && !rule_has_day(answer->open_expires))
        rule_set_unknown(&answer->said, "open_expires",
                         "it is open, but nobody knows how long it keeps open: ask the maker and enter it");
    if (rule_has_day(answer->expires)) {
        judge(asked, answer);
        if (!rule_has_day(answer->lot_expires))
            rule_set_unknown(&answer->said, "lot_expires", "no date of the lot is known, only that of its opening");
        say_known(arena, answer);
    } else {
        say_unknown(asked, answer);
    }
    return true;
}
