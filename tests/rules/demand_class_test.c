#include "kiosk/rules/demand_class.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_statistics_double.h>

#include "tests/reading/random.h"

/* Published and run values stand in fixtures/compute/demand-class.json; here is what must hold for any series. */

enum { MOST = 60, SERIES = 500 };

static struct demand_class_answer classify(const double *demand, size_t count, enum demand_adi adi, bool over_n)
{
    static unsigned char memory[4096];
    const struct demand_class_case asked = {{demand, count}, adi, over_n};
    struct demand_class_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    assert_true(demand_class(&asked, &arena, &answer, &fault));
    return answer;
}

/* Two demands at least; returns their number, and the sizes above 0 by themselves. */
static size_t make_series(uint64_t *random, double *demand, size_t count, double *sizes)
{
    size_t nonzero = 0;
    for (size_t i = 0; i < count; i++) {
        demand[i] = i < 2 || random_below(random, 3) == 0 ? 1 + random_below(random, 20) : 0;
        if (demand[i] > 0)
            sizes[nonzero++] = demand[i];
    }
    return nonzero;
}

static bool is_close(double a, double b)
{
    return fabs(a - b) <= 1e-12 * fmax(1, fabs(b));
}

/* GSL's variance, two passes over the sizes, is another computation than ours in one pass. */
static void variation_is_gsl_s(void **state)
{
    uint64_t random = 11;
    double demand[MOST], sizes[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        const size_t count = 2 + (size_t)random_below(&random, MOST - 2);
        const size_t nonzero = make_series(&random, demand, count, sizes);
        const double mean = gsl_stats_mean(sizes, 1, nonzero), variance = gsl_stats_variance(sizes, 1, nonzero);
        const double over_n = gsl_stats_variance_with_fixed_mean(sizes, 1, nonzero, mean);
        assert_true(is_close(classify(demand, count, DEMAND_ADI_PERIODS, false).cv2, variance / mean / mean));
        assert_true(is_close(classify(demand, count, DEMAND_ADI_PERIODS, true).cv2, over_n / mean / mean));
        assert_true(is_close(classify(demand, count, DEMAND_ADI_PERIODS, true).mean, gsl_stats_mean(demand, 1, count)));
    }
}

/* Plain algebra: a larger unit changes neither interval nor variation; backwards, the distances between demands are the
 * same; the sizes may change places. */
static void what_must_not_matter_does_not(void **state)
{
    uint64_t random = 12;
    double demand[MOST], changed[MOST], sizes[MOST];
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        const size_t count = 2 + (size_t)random_below(&random, MOST - 2);
        make_series(&random, demand, count, sizes);
        const struct demand_class_answer is = classify(demand, count, DEMAND_ADI_AFTER_FIRST, false);
        for (size_t k = 0; k < count; k++)
            changed[k] = demand[k] * 1000;
        assert_true(is_close(classify(changed, count, DEMAND_ADI_AFTER_FIRST, false).cv2, is.cv2));
        for (size_t k = 0; k < count; k++)
            changed[k] = demand[count - 1 - k];
        const struct demand_class_answer back = classify(changed, count, DEMAND_ADI_AFTER_FIRST, false);
        assert_true(is_close(back.adi, is.adi) && is_close(back.cv2, is.cv2) && back.class == is.class);
    }
}

/* The four fields of the table, from the corners where they meet; just below a cut by more than the slack. */
static void four_classes_meet_at_the_cuts(void **state)
{
    (void)state;
    assert_int_equal(demand_class_of(1.32, 0.49), DEMAND_LUMPY);
    assert_int_equal(demand_class_of(1.32, 0.49 - 1e-8), DEMAND_INTERMITTENT);
    assert_int_equal(demand_class_of(1.32 - 1e-8, 0.49), DEMAND_ERRATIC);
    assert_int_equal(demand_class_of(1.32 - 1e-8, 0.49 - 1e-8), DEMAND_SMOOTH);
    assert_int_equal(demand_class_of(1.32 - 1e-10, 0.49 - 1e-10), DEMAND_LUMPY); /* equal but for rounding */
    assert_int_equal(demand_class_of(RULE_NULL, 0.5), DEMAND_CLASS_NULL);
    assert_int_equal(demand_class_of(2, RULE_NULL), DEMAND_CLASS_NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(variation_is_gsl_s),
        cmocka_unit_test(what_must_not_matter_does_not),
        cmocka_unit_test(four_classes_meet_at_the_cuts),
    };
    return cmocka_run_group_tests_name("rules/demand_class", tests, NULL, NULL);
}
