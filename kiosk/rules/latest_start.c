#include "kiosk/rules/latest_start.h"

#include <math.h>

#include "kiosk/rules/days_to_use.h"

enum { WEEK = 7 };

static const struct day FIRST_DAY = {-25567}; /* 1900-01-01 */

/* --- closed days --- */

static int compare_days(const void *a, const void *b)
{
    const struct day *one = a, *two = b;
    return (one->number > two->number) - (one->number < two->number);
}

struct closed {
    const bool *weekday;
    const struct day *dates; /* sorted */
    size_t count;
};

static bool is_closed(const struct closed *closed, struct day day)
{
    size_t low = 0, high = closed->count;
    const int weekday = ((day.number + 3) % WEEK + WEEK) % WEEK + 1; /* 1970-01-01 was a Thursday, 4 */
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (closed->dates[middle].number < day.number)
            low = middle + 1;
        else
            high = middle;
    }
    return closed->weekday[weekday] || (low < closed->count && closed->dates[low].number == day.number);
}

/* RULE_NO_DAY: none since the calendar begins. */
static struct day last_open_day(const struct closed *closed, int64_t from)
{
    for (; from >= FIRST_DAY.number; from--)
        if (!is_closed(closed, (struct day){(int32_t)from}))
            return (struct day){(int32_t)from};
    return RULE_NO_DAY;
}

static bool sort_closed(const struct latest_start_case *asked, struct arena *arena, struct closed *closed,
                        struct rule_fault *fault)
{
    int open = 0;
    struct day *dates = arena_take(arena, asked->closed_date_count, sizeof *dates);
    for (int weekday = 1; weekday <= WEEK; weekday++)
        open += !asked->closed_weekday[weekday];
    if (open == 0)
        return rule_fault_set(fault, RULE_RANGE, "closed_weekdays",
                              "'closed_weekdays' has all seven: leave out the days on which somebody works");
    if (!dates)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->closed_date_count; i++)
        dates[i] = asked->closed_dates[i];
    *closed = (struct closed){asked->closed_weekday, dates, asked->closed_date_count};
    return rule_sort(arena, dates, asked->closed_date_count, sizeof *dates, compare_days) || rule_fault_memory(fault);
}

/* --- when FEFO gets to a lot --- */

/* How far use has come: all days before `day` are served, and of `day` so much. */
struct use {
    double day, served;
};

/* The day on which something is taken from the lot; NAN: it expires first. Moves `use` to where the lot ends. */
static double use_lot(const struct fefo_lot *lot, double rate, struct use *use)
{
    const double first = use->day, wanted = (lot->expires - first + 1) * rate - use->served;
    if (lot->expires < first)
        return NAN;
    if (lot->quantity >= wanted - RULE_SLACK) {
        *use = (struct use){lot->expires + 1, 0};
        return first;
    }
    const double served = use->served + lot->quantity, days = floor(served / rate + RULE_SLACK);
    *use = (struct use){first + days, fmax(0, served - days * rate)};
    if (use->served <= RULE_SLACK * rate)
        use->served = 0;
    return first;
}

static void expect(const struct latest_start_case *asked, const struct fefo_lot *sorted, struct latest_start_lot *lots)
{
    struct use use = {asked->today.number, 0};
    for (size_t i = 0; i < asked->lot_count; i++) {
        const double first = use_lot(&sorted[i], asked->rate_ml_per_day, &use);
        if (!isnan(first))
            lots[i].expected_start.number = (int32_t)first;
        lots[i].late =
            isnan(first) || lots[i].expected_start.number > lots[i].latest_start.number ? TRUTH_YES : TRUTH_NO;
    }
}

/* --- the answer --- */

enum demand { BY_RATE, BY_PMF, NO_DEMAND };

static enum demand demand_of(const struct latest_start_case *asked)
{
    if (asked->rate_ml_per_day > 0)
        return BY_RATE;
    for (size_t k = 1; asked->pmf.p && k < asked->pmf.count; k++)
        if (asked->pmf.p[k] > 0)
            return BY_PMF;
    return NO_DEMAND;
}

static bool find_latest(const struct latest_start_case *asked, const struct closed *closed, const char *key,
                        struct latest_start_lot *lot, struct rule_fault *fault)
{
    if (lot->days_needed != RULE_NO_COUNT) {
        const int64_t days = lot->days_needed < INT32_MAX ? lot->days_needed : INT32_MAX;
        lot->latest_start = last_open_day(closed, lot->last_working_day.number - days + 1);
        if (!rule_has_day(lot->latest_start))
            return rule_fault_set(fault, RULE_RANGE, key,
                                  "at this demand a lot would have to be started before the year %d: check the demand "
                                  "and the quantity",
                                  CALENDAR_FIRST_YEAR);
        lot->late = asked->today.number > lot->latest_start.number ? TRUTH_YES : TRUTH_NO;
    }
    return true;
}

static bool fill(const struct latest_start_case *asked, const struct closed *closed, const struct fefo_lot *sorted,
                 const int64_t *days, struct latest_start_lot *lots, struct rule_fault *fault)
{
    const char *key = asked->pmf.p ? "pmf" : "rate_ml_per_day";
    for (size_t i = 0; i < asked->lot_count; i++) {
        lots[i] = (struct latest_start_lot){.id = sorted[i].id,
                                            .days_needed = days ? days[i] : RULE_NO_COUNT,
                                            .last_working_day = last_open_day(closed, (int64_t)sorted[i].expires),
                                            .latest_start = RULE_NO_DAY,
                                            .expected_start = RULE_NO_DAY,
                                            .late = TRUTH_NULL};
        if (!rule_has_day(lots[i].last_working_day))
            return rule_fault_set(fault, RULE_RANGE, "closed_dates",
                                  "there is no open day before a lot expires since the year %d: check 'closed_dates'",
                                  CALENDAR_FIRST_YEAR);
        if (!find_latest(asked, closed, key, &lots[i], fault))
            return false;
    }
    return true;
}

static bool count_days(const struct latest_start_case *asked, enum demand demand, const struct fefo_lot *sorted,
                       struct arena *arena, int64_t **days, struct rule_fault *fault)
{
    const int64_t most = calendar_day(CALENDAR_LAST_YEAR, 12, 31).number - FIRST_DAY.number + 1;
    *days = NULL;
    if (demand == NO_DEMAND)
        return true;
    *days = arena_take(arena, asked->lot_count, sizeof **days);
    if (!*days)
        return rule_fault_memory(fault);
    if (demand == BY_RATE)
        days_at_rate(sorted, asked->lot_count, asked->rate_ml_per_day, *days);
    else if (!days_at_risk(sorted, asked->lot_count, &asked->pmf, asked->grid_ml, asked->risk, most, arena, *days))
        return rule_fault_memory(fault);
    return true;
}

static void say(struct arena *arena, struct latest_start_answer *answer)
{
    const struct latest_start_lot *next = NULL;
    char date[CALENDAR_DATE_SIZE];
    size_t late = 0;
    for (size_t i = 0; i < answer->lot_count; i++) {
        late += answer->lots[i].late == TRUTH_YES;
        if (answer->lots[i].late == TRUTH_NO &&
            (!next || answer->lots[i].latest_start.number < next->latest_start.number))
            next = &answer->lots[i];
    }
    const char *start =
        next ? rule_text(arena, " Start lot '%s' by %s.", next->id, calendar_write_date(next->latest_start, date)) : "";
    if (answer->lot_count == 0)
        answer->said.sentence = "There is no lot to start.";
    else if (late == 0)
        answer->said.sentence = rule_text(arena, "Each lot can still be used up in time.%s", start);
    else
        answer->said.sentence =
            rule_text(arena, "%zu of %zu lots will not be used up in time: find more use for %s or expect waste.%s",
                      late, answer->lot_count, late == 1 ? "it" : "them", start);
}

static void say_unknown(struct latest_start_answer *answer)
{
    rule_set_unknown(&answer->said, "lots", "no demand is known: give 'rate_ml_per_day' or 'pmf', above 0");
    answer->said.sentence = "Nobody knows by when to start a lot, for no demand is known.";
}

bool latest_start(const struct latest_start_case *asked, struct arena *arena, struct latest_start_answer *answer,
                  struct rule_fault *fault)
{
    const enum demand demand = demand_of(asked);
    const struct fefo_lot *sorted = fefo_sort(asked->lots, asked->lot_count, arena);
    struct latest_start_lot *lots = arena_take(arena, asked->lot_count, sizeof *lots);
    struct closed closed;
    int64_t *days = NULL;
    *answer = (struct latest_start_answer){
        .said = {.method = demand == BY_PMF ? "counted back, random demand" : "counted back, steady demand"},
        .lots = lots,
        .lot_count = asked->lot_count};
    if (!rule_is_null(asked->rate_ml_per_day) && asked->pmf.p)
        return rule_fault_set(fault, RULE_CONFLICT, "pmf", "'rate_ml_per_day' and 'pmf' are both given: give one");
    if (!sorted || !lots)
        return rule_fault_memory(fault);
    if (!sort_closed(asked, arena, &closed, fault) || !count_days(asked, demand, sorted, arena, &days, fault) ||
        !fill(asked, &closed, sorted, days, lots, fault))
        return false;
    if (demand == BY_RATE)
        expect(asked, sorted, lots);
    if (demand == NO_DEMAND && asked->lot_count > 0)
        say_unknown(answer);
    else
        say(arena, answer);
    return true;
}
