#include "kiosk/rules/reconcile.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>

#include <cmocka.h>
#include <gsl/gsl_fit.h>

#include "tests/reading/random.h"

enum { JOBS = 8 };
static unsigned char memory[1 << 14];

static struct reconcile_answer answer_of(struct reconcile_case asked)
{
    struct reconcile_answer answer;
    struct arena arena;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!reconcile(&asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static double between(uint64_t *seed, double least, double most)
{
    return least + (most - least) * random_next(seed) / UINT32_MAX;
}

static struct reconcile_case any_case(uint64_t *seed, double jobs[JOBS])
{
    for (int i = 0; i < JOBS; i++)
        jobs[i] = between(seed, 0, 200);
    const double ledger = between(seed, 0, 1000);
    return (struct reconcile_case){.ledger_ml = ledger,
                                   .ledger_u_ml = between(seed, 0.1, 20),
                                   .jobs_ml = jobs,
                                   .job_count = (size_t)random_below(seed, JOBS + 1),
                                   .job_share = between(seed, 0, 0.1),
                                   .correlated = random_below(seed, 2),
                                   .weighed_ml = ledger + between(seed, -60, 60),
                                   .weighed_u_ml = between(seed, 0.5, 20),
                                   .limit = between(seed, 0.5, 3)};
}

/* One constant fitted to both amounts with weights 1/u^2: GSL's weighted straight line through x = 1. */
static void the_fused_amount_is_the_weighted_fit(void **state)
{
    uint64_t seed = 61;
    (void)state;
    for (int turn = 0; turn < 2000; turn++) {
        double jobs[JOBS], fit = 0, variance = 0, sum_of_squares = 0;
        const struct reconcile_case asked = any_case(&seed, jobs);
        const struct reconcile_answer answer = answer_of(asked);
        const double ones[] = {1, 1}, amounts[] = {asked.ledger_ml, asked.weighed_ml},
                     weights[] = {pow(answer.ledger_u_now_ml, -2), pow(asked.weighed_u_ml, -2)};
        gsl_fit_wmul(ones, 1, weights, 1, amounts, 1, 2, &fit, &variance, &sum_of_squares);
        assert_true(fabs(answer.fused_ml - fit) < 1e-9 * fmax(1, fabs(fit)));
        assert_true(fabs(answer.fused_u_ml - sqrt(variance)) < 1e-9 * sqrt(variance));
        assert_true(fabs(answer.z * answer.z - sum_of_squares) < 1e-7 * fmax(1, sum_of_squares)); /* chi-square, 1 */
        assert_true(answer.alarm == (fabs(answer.z) > asked.limit));
        assert_true(answer.alarm ? rule_is_null(answer.movement_ml)
                                 : fabs(answer.movement_ml - (answer.fused_ml - asked.ledger_ml)) < 1e-9);
        assert_true(answer.fused_u_ml <= fmin(answer.ledger_u_now_ml, asked.weighed_u_ml));
    }
}

/* Triangle: independent errors add up to no more than errors in the same direction; one job is the same either way. */
static void errors_in_the_same_direction_are_the_worse(void **state)
{
    uint64_t seed = 62;
    (void)state;
    for (int turn = 0; turn < 2000; turn++) {
        double jobs[JOBS];
        struct reconcile_case asked = any_case(&seed, jobs);
        asked.correlated = true;
        const double same = answer_of(asked).ledger_u_now_ml;
        asked.correlated = false;
        const double independent = answer_of(asked).ledger_u_now_ml;
        assert_true(independent <= same * (1 + 1e-15));
        if (asked.job_count <= 1)
            assert_true(fabs(independent - same) < 1e-12);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fused_amount_is_the_weighted_fit),
        cmocka_unit_test(errors_in_the_same_direction_are_the_worse),
    };
    return cmocka_run_group_tests_name("rules/reconcile", tests, NULL, NULL);
}
