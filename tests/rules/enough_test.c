#include "kiosk/rules/enough.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>

#include <cmocka.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "tests/reading/random.h"

static unsigned char memory[1 << 14];

static struct enough_answer answer_of(struct enough_case asked)
{
    struct enough_answer answer;
    struct arena arena;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!enough(&asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static double between(uint64_t *seed, double least, double most)
{
    return least + (most - least) * random_next(seed) / UINT32_MAX;
}

static struct enough_case any_case(uint64_t *seed)
{
    struct enough_case asked = {.volume_ml = between(seed, 50, 1000),
                                .u_ml = between(seed, 0, 20),
                                .need_ml = between(seed, 0, 1000),
                                .heel_ml = between(seed, 0, 20),
                                .need_u_ml = RULE_NULL,
                                .need_share = between(seed, 0, 0.1),
                                .level = between(seed, 0.5, 0.999)};
    asked.no_level = between(seed, 0, asked.level);
    if (random_below(seed, 3) == 0)
        asked.need_u_ml = between(seed, 0, 30);
    if (random_below(seed, 6) == 0)
        asked.need_share = between(seed, 0, 2); /* wilder than any need: 1/z and more */
    return asked;
}

/* The definition, put in again: at the largest need the chance is the level. */
static void the_largest_need_has_just_the_level(void **state)
{
    uint64_t seed = 51;
    int found = 0;
    (void)state;
    for (int turn = 0; turn < 5000; turn++) {
        struct enough_case asked = any_case(&seed);
        const double largest = answer_of(asked).largest_need_ml;
        asked.need_ml = largest;
        const double p = answer_of(asked).p_enough;
        if (largest > 0)
            assert_true(fabs(p - asked.level) < 1e-9);
        else
            assert_true(p <= asked.level + 1e-9);
        found += largest > 0;
    }
    assert_true(found > 3000);
}

/* erfc of C99 instead of GSL's normal distribution. */
static void the_chance_is_the_normal_distribution(void **state)
{
    uint64_t seed = 52;
    (void)state;
    for (int turn = 0; turn < 5000; turn++) {
        const struct enough_case asked = any_case(&seed);
        const struct enough_answer answer = answer_of(asked);
        const double p = 0.5 * erfc(-answer.margin_ml / answer.u_margin_ml / sqrt(2));
        assert_true(fabs(answer.p_enough - p) < 1e-12);
        assert_int_equal(answer.verdict, p >= asked.level     ? ENOUGH_YES
                                         : p < asked.no_level ? ENOUGH_NO
                                                              : ENOUGH_NOT_SURE);
    }
}

/* Drawn volumes and needs, compared one by one. */
static void the_chance_is_what_many_jobs_show(void **state)
{
    enum { DRAWS = 400000 };
    const struct enough_case asked = {.volume_ml = 562.588235,
                                      .u_ml = 4.101055,
                                      .need_ml = 535,
                                      .heel_ml = 8,
                                      .need_u_ml = RULE_NULL,
                                      .need_share = 0.03,
                                      .level = 0.95,
                                      .no_level = 0.5};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int held = 0;
    (void)state;
    assert_non_null(rng);
    for (int i = 0; i < DRAWS; i++)
        held += asked.volume_ml + gsl_ran_gaussian(rng, asked.u_ml) - asked.heel_ml >=
                asked.need_ml + gsl_ran_gaussian(rng, asked.need_share * asked.need_ml);
    gsl_rng_free(rng);
    assert_true(fabs((double)held / DRAWS - answer_of(asked).p_enough) < 0.002); /* 4 standard errors */
}

static void more_need_is_never_more_likely(void **state)
{
    uint64_t seed = 53;
    (void)state;
    for (int turn = 0; turn < 500; turn++) {
        struct enough_case asked = any_case(&seed);
        double before = 2;
        for (asked.need_ml = 0; asked.need_ml < 900; asked.need_ml += 30) {
            const struct enough_answer answer = answer_of(asked);
            if (answer.margin_ml < 0) /* below even odds a need that is known worse has the better chance */
                break;
            assert_true(answer.p_enough <= before);
            before = answer.p_enough;
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_largest_need_has_just_the_level),
        cmocka_unit_test(the_chance_is_the_normal_distribution),
        cmocka_unit_test(the_chance_is_what_many_jobs_show),
        cmocka_unit_test(more_need_is_never_more_likely),
    };
    return cmocka_run_group_tests_name("rules/enough", tests, NULL, NULL);
}
