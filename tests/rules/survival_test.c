#include "kiosk/rules/survival.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Against the definitions, counted unit by unit for each time (brute force), and what follows from them. The published
 * sets and R's answers stand in fixtures/compute/survival.json. */

enum { MOST = 14, TURNS = 1500, ROOM = 1 << 20, LATEST = 8 };
static unsigned char memory[ROOM];
static const double times[] = {0, 1, 2, 3, 4, 5, 6, 7, 8};
enum { TIMES = sizeof times / sizeof *times };

struct units {
    double hours[MOST], entry[MOST];
    bool events[MOST];
    const char *causes[MOST], *groups[MOST];
    struct survival_case asked;
};

/* Whole hours up to LATEST, so that ties are common. */
static void make(uint64_t *random, bool with_entry, struct units *units)
{
    static const char *const names[] = {"a", "b", "c"};
    const size_t count = 1 + (size_t)random_below(random, MOST);
    for (size_t i = 0; i < count; i++) {
        units->hours[i] = 1 + random_below(random, LATEST);
        units->entry[i] = random_below(random, (int)units->hours[i]);
        units->events[i] = random_below(random, 3) > 0;
        units->causes[i] = names[random_below(random, 3)];
        units->groups[i] = i < 2 ? names[i] : names[random_below(random, 3)];
    }
    units->asked = (struct survival_case){.unit_count = count,
                                          .hours = units->hours,
                                          .events = units->events,
                                          .causes = units->causes,
                                          .entry_hours = with_entry ? units->entry : NULL,
                                          .groups = with_entry || count < 2 ? NULL : units->groups,
                                          .confidence = 0.9,
                                          .at_hours = times,
                                          .at_count = TIMES,
                                          .restrict_hours = RULE_NULL};
}

static struct survival_answer ask_in(const struct survival_case *asked, void *room, size_t size)
{
    struct arena arena;
    struct survival_answer answer;
    struct rule_fault fault = {0};
    arena_init(&arena, room, size);
    if (!survival(asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static struct survival_answer ask(const struct survival_case *asked)
{
    return ask_in(asked, memory, sizeof memory);
}

/* Of those at risk at `hours`, and of those of them whose event it was; `group` NULL: of all. */
static void count_at(const struct units *units, double hours, const char *group, double *at_risk, double *events)
{
    *at_risk = *events = 0;
    for (size_t i = 0; i < units->asked.unit_count; i++) {
        const double entry = units->asked.entry_hours ? units->entry[i] : 0;
        if ((group && strcmp(units->groups[i], group) != 0) || !(entry < hours && hours <= units->hours[i]))
            continue;
        ++*at_risk;
        *events += units->hours[i] == hours && units->events[i];
    }
}

static void the_curve_is_the_product_over_all_times(void **state)
{
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct units units;
        double s = 1, spread = 0, area = 0, last = 0;
        size_t step = 0;
        make(&random, turn % 2, &units);
        const struct survival_answer answer = ask(&units.asked);
        for (size_t i = 0; i < units.asked.unit_count; i++)
            last = fmax(last, units.hours[i]);
        for (int t = 1; t <= LATEST; t++) {
            double n = 0, d = 0;
            count_at(&units, t, NULL, &n, &d);
            area += t <= last ? s : 0;
            s *= d > 0 ? 1 - d / n : 1;
            spread += d > 0 && n > d ? d / (n * (n - d)) : 0;
            const double at = answer.at[t];
            assert_true(t <= last || s == 0 ? fabs(at - s) < 1e-12 : rule_is_null(at));
            if (d == 0)
                continue;
            assert_true(answer.steps[step].hours == t && (double)answer.steps[step].at_risk == n &&
                        (double)answer.steps[step].events == d);
            assert_true(s > 0 ? fabs(answer.steps[step].se - s * sqrt(spread)) < 1e-12
                              : rule_is_null(answer.steps[step].se));
            step++;
        }
        assert_int_equal(step, answer.step_count);
        assert_true(fabs(answer.restricted_mean_hours - area) < 1e-12);
    }
}

/* What the causes took and what is left are all. */
static void the_causes_together_took_what_is_gone(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct units units;
        make(&random, turn % 2, &units);
        const struct survival_answer answer = ask(&units.asked);
        for (size_t i = 0; i < TIMES; i++) {
            double gone = 0, before = 0;
            for (size_t k = 0; k < answer.cause_count; k++) {
                gone += answer.incidence[k].at[i];
                before += i > 0 ? answer.incidence[k].at[i - 1] : 0;
                assert_true(k == 0 || strcmp(answer.incidence[k - 1].cause, answer.incidence[k].cause) < 0);
            }
            assert_true(rule_is_null(answer.at[i]) || fabs(gone + answer.at[i] - 1) < 1e-12);
            assert_true(rule_is_null(answer.at[i]) || gone >= before);
        }
    }
}

/* Two groups: (sum of observed less expected)^2 over the sum of hypergeometric variances, the textbook's form. */
static void two_groups_are_the_textbook_s_log_rank(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct units units;
        double difference = 0, variance = 0;
        make(&random, false, &units);
        if (!units.asked.groups)
            continue;
        for (size_t i = 0; i < units.asked.unit_count; i++)
            if (units.groups[i][0] == 'c')
                units.groups[i] = "a";
        const struct survival_answer answer = ask(&units.asked);
        for (int t = 1; t <= LATEST; t++) {
            double n = 0, d = 0, n_a = 0, d_a = 0;
            count_at(&units, t, NULL, &n, &d);
            count_at(&units, t, "a", &n_a, &d_a);
            difference += d > 0 ? d_a - d * n_a / n : 0;
            variance += n > 1 ? d * (n_a / n) * (1 - n_a / n) * (n - d) / (n - 1) : 0;
        }
        assert_int_equal(answer.degrees_of_freedom, 1);
        if (variance > 0)
            assert_true(fabs(answer.chi2 - difference * difference / variance) < 1e-9 * (1 + answer.chi2));
        else
            assert_true(rule_is_null(answer.chi2) && rule_is_null(answer.p));
    }
}

/* Neither the order of units nor the names of groups tell anything. */
static void order_and_names_do_not_matter(void **state)
{
    uint64_t random = 4;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct units units;
        static unsigned char other_memory[ROOM];
        make(&random, false, &units);
        const struct survival_answer one = ask_in(&units.asked, other_memory, sizeof other_memory);
        struct units turned = units;
        for (size_t i = 0, last = units.asked.unit_count - 1; i <= last; i++) {
            turned.hours[i] = units.hours[last - i];
            turned.events[i] = units.events[last - i];
            turned.groups[i] = strcmp(units.groups[last - i], "a") == 0 ? "z" : units.groups[last - i];
        }
        turned.asked.hours = turned.hours;
        turned.asked.events = turned.events;
        turned.asked.groups = units.asked.groups ? turned.groups : NULL;
        const struct survival_answer other = ask(&turned.asked);
        assert_int_equal(one.step_count, other.step_count);
        for (size_t i = 0; i < one.step_count; i++)
            assert_true(one.steps[i].survival == other.steps[i].survival);
        assert_true(rule_is_null(one.chi2) ? rule_is_null(other.chi2)
                                           : fabs(one.chi2 - other.chi2) < 1e-9 * (1 + one.chi2));
    }
}

/* A third group that was gone before the first event compares nothing: the statistic is that of the two. */
static void a_group_never_at_risk_changes_only_the_degrees_of_freedom(void **state)
{
    static const double hours[] = {3, 4, 5, 6, 1};
    static const bool events[] = {true, true, true, true, false};
    static const char *const groups[] = {"a", "a", "b", "b", "c"};
    struct survival_case asked = {.unit_count = 4,
                                  .hours = hours,
                                  .events = events,
                                  .groups = groups,
                                  .confidence = 0.95,
                                  .restrict_hours = RULE_NULL};
    (void)state;
    const double chi2 = ask(&asked).chi2;
    asked.unit_count = 5;
    const struct survival_answer three = ask(&asked);
    assert_true(fabs(three.chi2 - chi2) < 1e-12 && chi2 > 1);
    assert_int_equal(three.degrees_of_freedom, 2);
}

static void limits_close_in_when_more_units_say_the_same(void **state)
{
    static double hours[400];
    static bool events[400];
    (void)state;
    for (int interval = SURVIVAL_LOG_LOG; interval <= SURVIVAL_PLAIN; interval++) {
        double width = 2;
        for (size_t times_over = 1; times_over <= 100; times_over *= 10) {
            for (size_t i = 0; i < 4 * times_over; i++) {
                hours[i] = 1 + (double)(i % 4);
                events[i] = i % 4 < 3;
            }
            const struct survival_case asked = {.unit_count = 4 * times_over,
                                                .hours = hours,
                                                .events = events,
                                                .interval = (enum survival_interval)interval,
                                                .confidence = 0.95,
                                                .restrict_hours = RULE_NULL};
            const struct survival_step middle = ask(&asked).steps[1];
            assert_true(fabs(middle.survival - 0.5) < 1e-12);
            assert_true(middle.lower < 0.5 && middle.upper > 0.5 && middle.lower >= 0 && middle.upper <= 1);
            assert_true(middle.upper - middle.lower < width);
            width = middle.upper - middle.lower;
        }
        assert_true(fabs(width - 2 * 1.959963985 * sqrt(0.25 / 400)) < 2e-3); /* plain binomial, for many */
    }
}

static void too_many_groups_and_a_full_arena_are_faults(void **state)
{
    static double hours[SURVIVAL_GROUPS + 1];
    static bool events[SURVIVAL_GROUPS + 1];
    static char names[SURVIVAL_GROUPS + 1][2];
    static const char *groups[SURVIVAL_GROUPS + 1];
    struct arena arena;
    struct survival_answer answer;
    struct rule_fault fault = {0};
    (void)state;
    for (int i = 0; i <= SURVIVAL_GROUPS; i++) {
        hours[i] = 1;
        names[i][0] = (char)(i + 1);
        groups[i] = names[i];
    }
    struct survival_case asked = {.unit_count = SURVIVAL_GROUPS + 1,
                                  .hours = hours,
                                  .events = events,
                                  .groups = groups,
                                  .confidence = 0.95,
                                  .restrict_hours = RULE_NULL};
    arena_init(&arena, memory, sizeof memory);
    assert_false(survival(&asked, &arena, &answer, &fault));
    assert_string_equal(fault.key, "groups");
    for (size_t size = 0; size < 16000; size += 64) {
        fault = (struct rule_fault){0};
        asked.groups = NULL;
        arena_init(&arena, memory, size);
        if (!survival(&asked, &arena, &answer, &fault))
            assert_int_equal(fault.code, RULE_RANGE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_curve_is_the_product_over_all_times),
        cmocka_unit_test(the_causes_together_took_what_is_gone),
        cmocka_unit_test(two_groups_are_the_textbook_s_log_rank),
        cmocka_unit_test(order_and_names_do_not_matter),
        cmocka_unit_test(a_group_never_at_risk_changes_only_the_degrees_of_freedom),
        cmocka_unit_test(limits_close_in_when_more_units_say_the_same),
        cmocka_unit_test(too_many_groups_and_a_full_arena_are_faults),
    };
    return cmocka_run_group_tests_name("rules/survival", tests, NULL, NULL);
}
