#include "labels/quality/streak.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/quality/print.h"

/* Streaks of known place on rows of labels. What no source is named for follows from the rule in streak.h. */

enum { WIDE_MM = 11 }; /* 22 modules of 0.5 mm */

struct labels {
    struct streak_label list[STREAK_LABELS];
    size_t count;
    uint32_t seed;
};

static double draw(struct labels *labels)
{
    labels->seed = labels->seed * 1664525 + 1013904223;
    return (labels->seed >> 8) / 16777216.0;
}

/* Symbols from `from_mm` on, each with so many marks anywhere. */
static void fill(struct labels *labels, size_t count, double from_mm, size_t accidents)
{
    labels->count = count;
    for (size_t i = 0; i < count; i++) {
        struct streak_label *label = &labels->list[i];
        *label = (struct streak_label){.from_mm = from_mm, .to_mm = from_mm + WIDE_MM};
        while (label->count < accidents)
            label->at_mm[label->count++] = from_mm + WIDE_MM * draw(labels);
    }
}

static void add_mark(struct streak_label *label, double at_mm)
{
    label->at_mm[label->count++] = at_mm;
}

static void binomial_tails_are_those_of_others(void **state)
{
    static const struct {
        size_t n, k;
        double q, tail;
    } cases[] = {/* R 4.2: pbinom(k - 1, n, q, lower.tail = FALSE); the same by Python 3.11's math.comb */
                 {10, 4, 0.1, 0.01279519840},
                 {5, 5, 1.0 / 11, 6.20921323059e-06},
                 {39, 12, 0.2, 0.0742261518583}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (fabs(streak_binomial_tail(cases[i].n, cases[i].q, cases[i].k) / cases[i].tail - 1) > 1e-9)
            fail_msg("B(%zu, %g) >= %zu", cases[i].n, cases[i].q, cases[i].k);
    assert_true(streak_binomial_tail(9, 0.3, 0) == 1);
    assert_true(streak_binomial_tail(9, 0, 1) == 0);
    assert_true(streak_binomial_tail(9, 1, 9) == 1);
}

/* By hand: q = 1/11; five others of five: 6.2e-6 (R, above), six marks: 3.7e-5. Four of four: 6.8e-5 times 5 is
 * 3.4e-4, above 1 in 10 000. */
static void six_labels_in_a_row_are_a_streak_and_five_are_not(void **state)
{
    struct labels labels = {.seed = 1};
    (void)state;
    for (size_t count = 1; count <= 6; count++) {
        fill(&labels, count, 25, 0);
        for (size_t i = 0; i < count; i++)
            add_mark(&labels.list[i], 31 + (i % 2 ? 0.2 : -0.2));
        const struct streak streak = streak_find(labels.list, count);
        assert_int_equal(streak.found, count == 6);
        if (count < 6)
            continue;
        assert_int_equal(streak.shown, 6);
        assert_int_equal(streak.passed, 6);
        if (fabs(streak.at_mm - 31) > 0.01 || fabs(streak.chance / (6 * 6.20921323059e-06) - 1) > 1e-6)
            fail_msg("at %.3f mm, chance %g", streak.at_mm, streak.chance);
    }
}

static void it_is_found_among_accidents_and_labels_that_miss_it(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 50; seed++) {
        struct labels labels = {.seed = seed};
        fill(&labels, 30, 25, 1);
        for (size_t i = 0; i < 30; i++)
            if (i % 4 != 3)
                add_mark(&labels.list[i], 31 + 0.4 * (draw(&labels) - 0.5));
        const struct streak streak = streak_find(labels.list, 30);
        if (!streak.found || fabs(streak.at_mm - 31) > 0.5)
            fail_msg("seed %u: found %d at %.2f", seed, streak.found, streak.at_mm);
    }
}

/* 2 000 printers without a streak, up to three accidents a label: one false alarm in 10 000 is allowed, so none here.
 */
static void accidents_alone_never_alarm(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 2000; seed++) {
        struct labels labels = {.seed = seed * 7919};
        fill(&labels, 6 + seed % 34, 25, 1 + seed % 3);
        const struct streak streak = streak_find(labels.list, labels.count);
        if (streak.found)
            fail_msg("seed %u: %zu of %zu at %.2f, chance %g", seed, streak.shown, streak.passed, streak.at_mm,
                     streak.chance);
    }
}

static void labels_whose_symbol_stands_elsewhere_do_not_count(void **state)
{
    struct labels labels = {.seed = 3};
    (void)state;
    fill(&labels, 20, 25, 0);
    for (size_t i = 0; i < 20; i++) {
        if (i % 2)
            labels.list[i] = (struct streak_label){.from_mm = 1, .to_mm = 12};
        else
            add_mark(&labels.list[i], 31);
    }
    const struct streak streak = streak_find(labels.list, 20);
    assert_true(streak.found);
    assert_int_equal(streak.passed, 10);
    assert_int_equal(streak.shown, 10);
}

static void two_clean_labels_end_the_alarm(void **state)
{
    struct labels labels = {.seed = 3};
    (void)state;
    fill(&labels, 20, 25, 0);
    for (size_t i = 1; i < 20; i++)
        add_mark(&labels.list[i], 31);
    assert_true(streak_find(labels.list, 20).found);
    labels.list[1].count = 0;
    assert_false(streak_find(labels.list, 20).found);
}

/* From pictures: the symbol stands 25 mm from the left, a module is 0.5 mm, and the dead dot is at 31.1 mm. */
static void seven_pictures_of_one_dead_dot_name_its_place(void **state)
{
    struct labels labels = {.count = 7};
    (void)state;
    for (size_t i = 0; i < labels.count; i++) {
        struct print print = print_fair(7);
        print.degrees = 10.0 * (double)i;
        print.streak_at = 12.125;
        print.streak_wide = 0.25;
        const struct quality quality = print_measure(&print);
        labels.list[i] = (struct streak_label){.from_mm = 25, .to_mm = 36};
        for (size_t k = 0; k < quality.streaks.count; k++)
            add_mark(&labels.list[i], 25 + 0.5 * quality.streaks.marks[k].at);
    }
    const struct streak streak = streak_find(labels.list, labels.count);
    assert_true(streak.found);
    assert_true(fabs(streak.at_mm - 31.125) <= 0.3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(binomial_tails_are_those_of_others),
        cmocka_unit_test(six_labels_in_a_row_are_a_streak_and_five_are_not),
        cmocka_unit_test(it_is_found_among_accidents_and_labels_that_miss_it),
        cmocka_unit_test(accidents_alone_never_alarm),
        cmocka_unit_test(labels_whose_symbol_stands_elsewhere_do_not_count),
        cmocka_unit_test(two_clean_labels_end_the_alarm),
        cmocka_unit_test(seven_pictures_of_one_dead_dot_name_its_place),
    };
    return cmocka_run_group_tests_name("quality/streak", tests, NULL, NULL);
}
