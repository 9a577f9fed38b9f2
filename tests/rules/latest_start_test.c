#include "kiosk/rules/latest_start.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "tests/reading/random.h"
#include "tests/rules/fefo_by_day.h"

enum { ROOM = 4 * 1024 * 1024, LOTS = 6, DAYS = 25 };
static char ids[LOTS][2] = {"a", "b", "c", "d", "e", "f"};
static const int TODAY = 20500;

static bool try_it(const struct latest_start_case *asked, struct latest_start_answer *answer, struct rule_fault *fault)
{
    static unsigned char memory[ROOM];
    struct arena arena;
    memset(fault, 0, sizeof *fault);
    arena_init(&arena, memory, sizeof memory);
    return latest_start(asked, &arena, answer, fault);
}

static struct latest_start_answer ask(const struct latest_start_case *asked)
{
    struct latest_start_answer answer;
    struct rule_fault fault;
    if (!try_it(asked, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

static size_t deal(uint64_t *seed, struct fefo_lot *lots)
{
    const size_t count = (size_t)random_below(seed, LOTS + 1);
    for (size_t i = 0; i < count; i++)
        lots[i] = (struct fefo_lot){.id = ids[i],
                                    .quantity = 1 + random_below(seed, 30),
                                    .expires = TODAY - 2 + random_below(seed, DAYS),
                                    .received = RULE_NO_DAY};
    return count;
}

static struct latest_start_case at_rate(const struct fefo_lot *lots, size_t count, double rate)
{
    return (struct latest_start_case){
        .today = {TODAY}, .lots = lots, .lot_count = count, .rate_ml_per_day = rate, .grid_ml = 1, .risk = 0.05};
}

/* Brute force: when a play day by day first takes from each lot; and a lot alone, started on the latest day, is used
 * up, a day later it is not. */
static void is_what_a_play_day_by_day_gives(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 5000; round++) {
        struct fefo_lot lots[LOTS], from_today[LOTS];
        double demand[DAYS];
        struct fefo_by_day end;
        const size_t count = deal(&seed, lots);
        const int rate = 1 + random_below(&seed, 9);
        const struct latest_start_case asked = at_rate(lots, count, rate);
        const struct latest_start_answer answer = ask(&asked);
        for (int day = 0; day < DAYS; day++)
            demand[day] = rate;
        for (size_t i = 0; i < count; i++) {
            from_today[i] = lots[i];
            from_today[i].expires -= TODAY - 1;
        }
        fefo_by_day(from_today, count, demand, DAYS, &end);
        for (size_t i = 0; i < count; i++) {
            const struct latest_start_lot *lot = &answer.lots[i];
            const size_t place = (size_t)(lot->id[0] - 'a');
            const int first = end.first_day[place];
            const int64_t span = (int64_t)lots[place].expires - lot->latest_start.number + 1;
            assert_int_equal(rule_has_day(lot->expected_start) ? lot->expected_start.number - TODAY + 1 : 0, first);
            assert_int_equal(lot->late == TRUTH_YES, first == 0 || first + TODAY - 1 > lot->latest_start.number);
            assert_true((double)(span * rate) >= lots[place].quantity);
            assert_true((double)((span - 1) * rate) < lots[place].quantity);
            assert_int_equal(lot->days_needed, span);
        }
    }
}

/* Starting in time is what keeps a lot from waste, when it is the only one and every day is open. */
static void late_means_waste(void **state)
{
    uint64_t seed = 2;
    (void)state;
    for (int round = 0; round < 2000; round++) {
        struct fefo_lot lots[LOTS];
        if (deal(&seed, lots) == 0)
            continue;
        const int rate = 1 + random_below(&seed, 5);
        const struct latest_start_case asked = at_rate(lots, 1, rate);
        const double room = (lots[0].expires - TODAY + 1) * rate;
        assert_int_equal(ask(&asked).lots[0].late, lots[0].quantity > room ? TRUTH_YES : TRUTH_NO);
    }
}

/* A lot of q cells with a demand of at most one cell a day: P(D_n >= q) is GSL's binomial upper tail. */
static void coin_flips_are_gsl_s_binomial(void **state)
{
    (void)state;
    for (int q = 1; q < 30; q += 4)
        for (int percent = 20; percent < 100; percent += 15)
            for (int chance = 1; chance < 90; chance += 17) {
                const double p = percent / 100.0, risk = chance / 100.0;
                double pmf[2] = {1 - p, p};
                const struct fefo_lot lot = {.id = "a", .quantity = q, .expires = TODAY + 40, .received = RULE_NO_DAY};
                struct latest_start_case asked = at_rate(&lot, 1, RULE_NULL);
                unsigned n = (unsigned)q;
                asked.pmf = (struct pmf){pmf, 2};
                asked.risk = risk;
                while (gsl_cdf_binomial_P((unsigned)q - 1, p, n) > risk + 1e-12)
                    n++;
                assert_int_equal(ask(&asked).lots[0].days_needed, n);
            }
}

/* Every lot has the answer that it has alone; the order of the list does not matter. */
static void with_a_pmf_lots_do_not_mix(void **state)
{
    static double pmf[] = {0.5, 0.2, 0, 0.3};
    uint64_t seed = 3;
    (void)state;
    for (int round = 0; round < 500; round++) {
        struct fefo_lot lots[LOTS];
        const size_t count = deal(&seed, lots);
        struct latest_start_case all = at_rate(lots, count, RULE_NULL);
        int64_t days[LOTS];
        all.pmf = (struct pmf){pmf, 4};
        all.risk = 0.02 + 0.9 * random_below(&seed, 100) / 100;
        const struct latest_start_answer answer = ask(&all);
        for (size_t i = 0; i < count; i++)
            days[answer.lots[i].id[0] - 'a'] = answer.lots[i].days_needed;
        for (size_t i = 0; i < count; i++) {
            all.lots = &lots[i];
            all.lot_count = 1;
            assert_int_equal(ask(&all).lots[0].days_needed, days[i]);
        }
    }
}

/* The last open day is open, and no later one before the bound is: counted one by one, weekdays by Zeller's
 * congruence (Acta Mathematica 9, 1887). */
static int zeller(struct day day)
{
    int year, month, day_of_month;
    calendar_split(day, &year, &month, &day_of_month);
    if (month < 3) {
        month += 12;
        year--;
    }
    const int h = (day_of_month + 13 * (month + 1) / 5 + year + year / 4 - year / 100 + year / 400) % 7;
    return (h + 5) % 7 + 1; /* 0 is a Saturday there; 1 is a Monday here */
}

static void closed_days_are_passed_over(void **state)
{
    uint64_t seed = 4;
    (void)state;
    for (int round = 0; round < 3000; round++) {
        struct day dates[8];
        const int expires = random_below(&seed, 400000) - 20000;
        const struct fefo_lot lot = {
            .id = "a", .quantity = 1 + random_below(&seed, 9), .expires = expires, .received = RULE_NO_DAY};
        struct latest_start_case asked = at_rate(&lot, 1, 1);
        for (int i = 0; i < 8; i++)
            dates[i].number = expires - random_below(&seed, 20);
        for (int weekday = 1; weekday < 7; weekday++)
            asked.closed_weekday[weekday] = random_below(&seed, 2) == 1;
        asked.closed_dates = dates;
        asked.closed_date_count = 8;
        const struct latest_start_answer answer = ask(&asked);
        int64_t bound = expires;
        const struct day found[] = {answer.lots[0].last_working_day, answer.lots[0].latest_start};
        for (int k = 0; k < 2; k++) {
            for (; bound > found[k].number; bound--) {
                bool closed = asked.closed_weekday[zeller((struct day){(int32_t)bound})];
                for (int i = 0; i < 8; i++)
                    closed = closed || dates[i].number == bound;
                assert_true(closed);
            }
            assert_true(bound == found[k].number && !asked.closed_weekday[zeller(found[k])]);
            bound = found[k].number - answer.lots[0].days_needed + 1;
        }
    }
}

static void no_open_day_since_1900_is_refused(void **state)
{
    struct day dates[40];
    const struct fefo_lot lot = {
        .id = "a", .quantity = 1, .expires = calendar_day(1900, 1, 31).number, .received = RULE_NO_DAY};
    struct latest_start_case asked = at_rate(&lot, 1, 1);
    struct latest_start_answer answer;
    struct rule_fault fault;
    (void)state;
    for (int i = 0; i < 40; i++)
        dates[i] = (struct day){calendar_day(1900, 1, 1).number + i};
    asked.closed_dates = dates;
    asked.closed_date_count = 40;
    assert_false(try_it(&asked, &answer, &fault));
    assert_string_equal(fault.key, "closed_dates");
    asked.closed_dates = dates + 1; /* the first of January is open */
    asked.closed_date_count = 39;
    assert_true(try_it(&asked, &answer, &fault));
    assert_int_equal(answer.lots[0].latest_start.number, dates[0].number);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_what_a_play_day_by_day_gives), cmocka_unit_test(late_means_waste),
        cmocka_unit_test(coin_flips_are_gsl_s_binomial),   cmocka_unit_test(with_a_pmf_lots_do_not_mix),
        cmocka_unit_test(closed_days_are_passed_over),     cmocka_unit_test(no_open_day_since_1900_is_refused),
    };
    return cmocka_run_group_tests_name("rules/latest_start", tests, NULL, NULL);
}
