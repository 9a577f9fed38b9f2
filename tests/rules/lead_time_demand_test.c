#include "kiosk/rules/lead_time_demand.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "kiosk/rules/demand_bootstrap.h"
#include "tests/reading/random.h"
#include "tests/rules/arena_room.h"

/* Against tables computed in R 4.2.2, GSL 2.7's distributions, walks over all histories by hand, and what must hold for
 * any series. */

enum { MOST = 30, TABLE = 7 };
static const double S24[] = {0, 0, 2, 0, 0, 0, 1, 0, 3, 0, 0, 0, 0, 2, 0, 0, 1, 0, 0, 0, 0, 4, 0, 0};

static struct lead_time_demand_case s24(enum lead_time_method method, double lead)
{
    return (struct lead_time_demand_case){
        .method = method, .series = {S24, sizeof S24 / sizeof *S24}, .lead_periods = lead, .prior = {1, 1}};
}

static struct lead_time_demand_answer ask(const struct lead_time_demand_case *asked)
{
    struct lead_time_demand_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    arena_room_begin(&arena);
    if (!lead_time_demand(asked, &arena, &answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
    return answer;
}

static bool is_close(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(1, fabs(b));
}

static void chances_up_to_six_are_the_table_s(void **state)
{
    static const struct {
        enum lead_time_method method;
        double lead;
        bool half;
        double at_most[TABLE];
    } rows[] = {
        {LEAD_TIME_NEGATIVE_BINOMIAL, /* R pnbinom */
         2,
         false,
         {.494679889, .733480278, .857314235, .923009390, .958253633, .977287800, .987612945}},
        {LEAD_TIME_NEGATIVE_BINOMIAL, /* R pnbinom */
         3,
         false,
         {.347925598, .599860545, .760910242, .859306167, .918031193, .952581376, .972713122}},
        {LEAD_TIME_MARKOV_BOOTSTRAP, /* exact fractions in Python */
         3,
         false,
         {.270913902, .472420110, .687767148, .816201913, .944636678, .972318339, .989619377}},
        {LEAD_TIME_MARKOV_BOOTSTRAP, /* likewise */
         3,
         true,
         {.260781036, .452734094, .662633529, .794571048, .926645041, .962844860, .985653135}},
        {LEAD_TIME_IID_BOOTSTRAP, /* likewise */
         3,
         false,
         {.421875000, .562500000, .718750000, .820891204, .924189815, .958043981, .980758102}},
    };
    static const double gamma[] = {.296296296, .592592593, .790123457, .899862826, .954732510}; /* R pnbinom, SciPy */
    static const double two_of_five[] = {1, 0, 0, 1, 0};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct lead_time_demand_case asked = s24(rows[i].method, rows[i].lead);
        asked.half = rows[i].half;
        const struct lead_time_demand_answer answer = ask(&asked);
        for (int k = 0; k < TABLE; k++)
            assert_true(is_close(pmf_at_most(&answer.pmf, k), rows[i].at_most[k]));
    }
    struct lead_time_demand_case asked = s24(LEAD_TIME_GAMMA_POISSON, 3);
    asked.series = (struct demand_series){two_of_five, 5};
    const struct lead_time_demand_answer answer = ask(&asked);
    for (int k = 0; k < 5; k++)
        assert_true(is_close(pmf_at_most(&answer.pmf, k), gamma[k]));
}

static void gamma_poisson_is_gsl_s_negative_binomial(void **state)
{
    (void)state;
    for (int lead = 1; lead < 20; lead++) {
        struct lead_time_demand_case asked = s24(LEAD_TIME_GAMMA_POISSON, lead);
        asked.prior = (struct forecast_prior){0.3 * lead, 2.5};
        const struct lead_time_demand_answer answer = ask(&asked);
        for (unsigned k = 0; k + 1 < answer.pmf.count; k++)
            assert_true(is_close(answer.pmf.p[k], gsl_ran_negative_binomial_pdf(k, answer.p, answer.r)));
    }
}

/* Every way the periods can go, one by one: no arrays, no convolution. */
static void walk(const struct demand_chain *chain, const struct demand_series *series, int left, int sum, double chance,
                 bool some, double *wanted)
{
    const double next = some ? chain->after_some : chain->after_none;
    double sizes = 0;
    if (left == 0) {
        wanted[sum] += chance;
        return;
    }
    walk(chain, series, left - 1, sum, chance * (1 - next), false, wanted);
    for (size_t i = 0; i < series->count; i++)
        sizes += series->demand[i] > 0;
    for (size_t i = 0; i < series->count; i++)
        if (series->demand[i] > 0)
            walk(chain, series, left - 1, sum + (int)series->demand[i], chance * next / sizes, true, wanted);
}

static void bootstraps_are_all_walks_of_the_history(void **state)
{
    enum { SERIES = 60, LARGEST = 5, LONGEST = 3 };
    uint64_t random = 31;
    (void)state;
    for (int i = 0; i < SERIES; i++) {
        double demand[MOST], wanted[LARGEST * LONGEST + 1] = {0};
        const size_t count = 4 + (size_t)random_below(&random, 12);
        for (size_t k = 0; k < count; k++)
            demand[k] = random_below(&random, 2) ? 1 + random_below(&random, LARGEST) : 0;
        demand[1] = 2;
        const bool markov = i % 2;
        const int lead = 1 + random_below(&random, LONGEST);
        struct lead_time_demand_case asked = s24(LEAD_TIME_IID_BOOTSTRAP, lead);
        asked.series = (struct demand_series){demand, count};
        struct demand_chain chain = demand_chain_iid(&asked.series);
        if (markov) {
            asked.method = LEAD_TIME_MARKOV_BOOTSTRAP;
            asked.half = true;
            assert_true(demand_chain_markov(&asked.series, true, &chain));
        }
        walk(&chain, &asked.series, lead, 0, 1, chain.some_now, wanted);
        const struct lead_time_demand_answer answer = ask(&asked);
        for (size_t k = 0; k < answer.pmf.count; k++)
            assert_true(is_close(answer.pmf.p[k], wanted[k]));
    }
}

/* Drawn by itself, the mean and the variance of a sum are those of one times the periods (plain algebra); and the
 * convolution by squaring of pmf.h is another way to the same. */
static void iid_is_what_repeated_convolution_gives(void **state)
{
    static unsigned char room[1 << 20];
    double cells[5] = {0};
    struct arena arena;
    struct pmf wanted;
    (void)state;
    for (size_t i = 0; i < sizeof S24 / sizeof *S24; i++)
        cells[(int)S24[i]] += 1 / 24.0;
    for (int lead = 1; lead <= 60; lead += 7) {
        const struct lead_time_demand_case asked = s24(LEAD_TIME_IID_BOOTSTRAP, lead);
        const struct lead_time_demand_answer answer = ask(&asked);
        arena_init(&arena, room, sizeof room);
        assert_true(pmf_times(&arena, &(struct pmf){cells, 5}, (size_t)lead, &wanted));
        for (size_t k = 0; k < wanted.count && k < answer.pmf.count; k++)
            assert_true(fabs(answer.pmf.p[k] - wanted.p[k]) < 1e-11);
        assert_true(fabs(answer.mean - lead * 13 / 24.0) < 1e-9);
    }
}

/* Jittered sizes against GSL's normal quantiles: slices of equal chance, each thrown as the definition says. */
static void jitter_is_its_definition_thrown_very_often(void **state)
{
    enum { SLICES = 200000 };
    static const double sizes[] = {1, 2, 3, 4, 9, 40, 400};
    static unsigned char room[1 << 20];
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        static double wanted[2000];
        struct arena arena;
        struct pmf jittered;
        double mean = 0;
        arena_init(&arena, room, sizeof room);
        for (size_t k = 0; k < 2000; k++)
            wanted[k] = 0;
        for (int slice = 0; slice < SLICES; slice++) {
            const double z = gsl_cdf_ugaussian_Pinv((slice + 0.5) / SLICES);
            const double thrown = 1 + trunc(sizes[i] + z * sqrt(sizes[i])), size = thrown > 0 ? thrown : sizes[i];
            wanted[(int)size] += 1.0 / SLICES;
            mean += size / SLICES;
        }
        assert_true(demand_sizes(&(struct demand_series){&sizes[i], 1}, true, &arena, &jittered));
        assert_true(jittered.p[0] == 0);
        for (size_t k = 0; k < jittered.count; k++)
            assert_true(fabs(jittered.p[k] - wanted[k]) < 2.0 / SLICES);
        assert_true(fabs(pmf_mean(&jittered) - mean) < 1e-3);
    }
}

/* Sizes 1 to 4 of the series: 2.786705450 jittered, 2.166666667 as they were (normal tails summed apart from this
 * code). */
static void jitter_is_biased_upwards(void **state)
{
    static unsigned char room[1 << 16];
    const struct demand_series series = {S24, sizeof S24 / sizeof *S24};
    struct arena arena;
    struct pmf sizes;
    (void)state;
    arena_init(&arena, room, sizeof room);
    assert_true(demand_sizes(&series, true, &arena, &sizes));
    assert_true(is_close(pmf_mean(&sizes), 2.786705450));
    assert_true(demand_sizes(&series, false, &arena, &sizes));
    assert_true(is_close(pmf_mean(&sizes), 13 / 6.0));
}

/* Whatever the method: chances sum to 1, and a longer lead time leaves every number less likely to be enough. */
static void a_longer_lead_time_needs_more(void **state)
{
    (void)state;
    for (int method = 0; method < LEAD_TIME_METHODS; method++) {
        double before[40];
        for (int lead = 1; lead <= 12; lead++) {
            const struct lead_time_demand_case asked = s24((enum lead_time_method)method, lead);
            const struct lead_time_demand_answer answer = ask(&asked);
            double sum = 0;
            for (size_t k = 0; k < answer.pmf.count; k++)
                sum += answer.pmf.p[k];
            assert_true(fabs(sum - 1) < 1e-11);
            for (int k = 0; k < 40; k++) {
                assert_true(lead == 1 || pmf_at_most(&answer.pmf, k) <= before[k] + 1e-9);
                before[k] = pmf_at_most(&answer.pmf, k);
            }
        }
    }
}

/* What the JSON layer keeps out, the desk may still ask. */
static void fractions_are_no_pieces(void **state)
{
    static const double halves[] = {0.5, 0, 1};
    static unsigned char room[4096];
    struct lead_time_demand_case asked = s24(LEAD_TIME_IID_BOOTSTRAP, 2);
    struct lead_time_demand_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    (void)state;
    asked.series = (struct demand_series){halves, 3};
    arena_init(&arena, room, sizeof room);
    assert_false(lead_time_demand(&asked, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_TYPE);
    assert_string_equal(fault.key, "demand");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chances_up_to_six_are_the_table_s),
        cmocka_unit_test(gamma_poisson_is_gsl_s_negative_binomial),
        cmocka_unit_test(bootstraps_are_all_walks_of_the_history),
        cmocka_unit_test(iid_is_what_repeated_convolution_gives),
        cmocka_unit_test(jitter_is_its_definition_thrown_very_often),
        cmocka_unit_test(jitter_is_biased_upwards),
        cmocka_unit_test(a_longer_lead_time_needs_more),
        cmocka_unit_test(fractions_are_no_pieces),
    };
    return cmocka_run_group_tests_name("rules/lead_time_demand", tests, arena_room_set_up, arena_room_tear_down);
}
