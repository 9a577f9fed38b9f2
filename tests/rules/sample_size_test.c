#include "kiosk/rules/sample_size.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "kiosk/rules/sampling.h"
#include "tests/reading/random.h"

/* The table of published size stands in fixtures/compute/sample-size.json; here is what holds for any case. */

static unsigned char memory[1 << 16];

static struct sample_size_answer ask(int64_t population, double accuracy, double confidence, int64_t allowed)
{
    const struct sample_size_case asked = {population, accuracy, confidence, allowed};
    struct sample_size_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    assert_true(sample_size(&asked, &arena, &answer, &fault));
    return answer;
}

/* Every sample is tried with GSL 2.7's hypergeometric distribution. */
static void it_is_the_smallest_by_trying_all(void **state)
{
    uint64_t random = 17;
    int possible = 0;
    (void)state;
    for (int round = 0; round < 500; round++) {
        const int population = 1 + random_below(&random, 90), allowed = random_below(&random, 4);
        const double accuracy = (1 + random_below(&random, 999)) / 1000.0,
                     confidence = 0.5 + random_below(&random, 499) / 1000.0;
        const struct sample_size_answer answer = ask(population, accuracy, confidence, allowed);
        const unsigned breaking = (unsigned)answer.wrong_breaking;
        /* the claim still holds with one less, and is broken now */
        assert_true((population - (double)breaking) / population < accuracy + 1e-9);
        assert_true((population - (double)breaking + 1) / population >= accuracy - 1e-9);
        int smallest = -1;
        for (int n = allowed; n <= population && smallest < 0; n++) {
            const double p = (unsigned)allowed >= breaking || allowed >= n
                                 ? 1
                                 : gsl_cdf_hypergeometric_P((unsigned)allowed, breaking,
                                                            (unsigned)population - breaking, (unsigned)n);
            if (p <= 1 - confidence + 1e-12)
                smallest = n;
        }
        assert_int_equal(answer.possible, smallest >= 0);
        assert_true(smallest < 0 ? answer.sample == RULE_NO_COUNT && rule_is_null(answer.risk)
                                 : answer.sample == smallest && answer.risk <= 1 - confidence + 1e-12);
        possible += answer.possible;
    }
    assert_true(possible > 100 && possible < 500);
}

/* ceil(ln(1 - c) / ln p) records when none may be wrong. */
static void an_endless_list_has_a_formula(void **state)
{
    (void)state;
    double wrong = 0.3;
    for (int round = 0; round < 15; round++, wrong /= 7) { /* down to 6e-14 */
        const struct sample_size_answer answer = ask(RULE_NO_COUNT, 1 - wrong, 0.95, 0);
        const double formula = ceil(log(1 - 0.95) / log1p(-(1 - (1 - wrong))));
        assert_true(fabs((double)answer.sample - formula) <= formula * 1e-11);
        assert_true(answer.wrong_breaking == RULE_NO_COUNT);
    }
}

/* Large ones end too, and are the smallest: with one less the risk is too high. */
static void a_thousand_million_records(void **state)
{
    static const int64_t populations[] = {1000000, 1000000000, SAMPLING_MOST, RULE_NO_COUNT};
    static const int64_t allowed[] = {0, 3, 1000, 1000000};
    static const double accuracies[] = {0.5, 0.9, 0.999};
    (void)state;
    for (size_t i = 0; i < 64; i++) {
        const int64_t population = populations[i % 4], wrong = allowed[i / 4 % 4];
        if (i / 16 == 3)
            break;
        const double accuracy = accuracies[i / 16];
        const struct sample_size_answer answer = ask(population, accuracy, 0.95, wrong);
        if (!answer.possible) {
            assert_true(answer.wrong_breaking <= wrong);
            continue;
        }
        const int64_t less = answer.sample - 1;
        const double risk = population == RULE_NO_COUNT
                                ? sampling_binomial_at_most(less, 1 - accuracy, wrong)
                                : sampling_hypergeometric_at_most(population, answer.wrong_breaking, less, wrong);
        assert_true(answer.risk <= 0.05 + 1e-12 && risk > 0.05 + 1e-12);
    }
}

static void more_records_and_more_confidence_need_more(void **state)
{
    int64_t last = 0;
    (void)state;
    for (int64_t population = 100; population <= 100000; population *= 10) {
        const struct sample_size_answer answer = ask(population, 0.97, 0.95, 0);
        assert_true(answer.sample > last && answer.sample < ask(population, 0.97, 0.99, 0).sample &&
                    answer.sample < ask(population, 0.97, 0.95, 1).sample &&
                    answer.sample < ask(population, 0.98, 0.95, 0).sample);
        last = answer.sample;
    }
    assert_true(last <= ask(RULE_NO_COUNT, 0.97, 0.95, 0).sample);
}

static void what_nobody_could_count_is_a_fault(void **state)
{
    const struct sample_size_case asked = {RULE_NO_COUNT, 1 - 1.2e-16, 0.95, SAMPLING_MOST};
    struct sample_size_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_false(sample_size(&asked, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_the_smallest_by_trying_all),
        cmocka_unit_test(an_endless_list_has_a_formula),
        cmocka_unit_test(a_thousand_million_records),
        cmocka_unit_test(more_records_and_more_confidence_need_more),
        cmocka_unit_test(what_nobody_could_count_is_a_fault),
    };
    return cmocka_run_group_tests_name("rules/sample_size", tests, NULL, NULL);
}
