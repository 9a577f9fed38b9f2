#include "kiosk/rules/weigh.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_statistics_double.h>

#include "tests/reading/random.h"

static unsigned char memory[1 << 16];

static bool ask(const struct weigh_case *asked, struct weigh_answer *answer)
{
    struct arena arena;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    return weigh(asked, &arena, answer, &fault);
}

static struct weigh_answer answer_of(struct weigh_case asked)
{
    struct weigh_answer answer;
    assert_true(ask(&asked, &answer));
    return answer;
}

static double between(uint64_t *seed, double least, double most)
{
    return least + (most - least) * random_next(seed) / UINT32_MAX;
}

static struct weigh_case any_case(uint64_t *seed)
{
    return (struct weigh_case){.gross_g = between(seed, 300, 1500),
                               .tare_g = between(seed, 20, 290),
                               .density = between(seed, 0.8, 1.6),
                               .reference_c = 25,
                               .temperature_c = between(seed, 10, 40),
                               .expansion_per_k = between(seed, 1e-4, 1e-3),
                               .repeatability_g = between(seed, 0, 1),
                               .calibration_g = between(seed, 0, 1),
                               .tare_u_g = between(seed, 0, 4),
                               .resolution_g = between(seed, 0, 2),
                               .density_limit = between(seed, 0, 0.02),
                               .temperature_limit_k = between(seed, 0, 5),
                               .expansion_limit_per_k = between(seed, 0, 1e-4),
                               .nominal_ml = RULE_NULL,
                               .zero_reading_g = RULE_NULL};
}

/* The law of propagation with slopes by central differences of the volume itself (JCGM 100:2008, 5.1.3, note 2). */
static void uncertainty_is_by_the_slopes_of_the_volume(void **state)
{
    uint64_t seed = 41;
    (void)state;
    for (int turn = 0; turn < 500; turn++) {
        const struct weigh_case asked = any_case(&seed);
        const double u[] = {hypot(hypot(asked.repeatability_g, asked.calibration_g), asked.resolution_g / sqrt(12)),
                            asked.tare_u_g, asked.density_limit / sqrt(3), asked.temperature_limit_k / sqrt(3),
                            asked.expansion_limit_per_k / sqrt(3)};
        double sum = 0, sum_ref = 0;
        for (int input = 0; input < 5; input++) {
            struct weigh_case up = asked, down = asked;
            double *const ups[] = {&up.gross_g, &up.tare_g, &up.density, &up.temperature_c, &up.expansion_per_k};
            double *const downs[] = {&down.gross_g, &down.tare_g, &down.density, &down.temperature_c,
                                     &down.expansion_per_k};
            const double step = input == 4 ? 1e-7 : 1e-4;
            *ups[input] += step;
            *downs[input] -= step;
            const struct weigh_answer high = answer_of(up), low = answer_of(down);
            sum += pow((high.volume_ml - low.volume_ml) / (2 * step) * u[input], 2);
            sum_ref += pow((high.volume_ref_ml - low.volume_ref_ml) / (2 * step) * u[input], 2);
        }
        const struct weigh_answer answer = answer_of(asked);
        assert_true(fabs(answer.u_ml - sqrt(sum)) < 1e-6 * sqrt(sum));
        assert_true(fabs(answer.u_ref_ml - sqrt(sum_ref)) < 1e-6 * sqrt(sum_ref));
        assert_true(answer.expanded_ml == 2 * answer.u_ml);
    }
}

/* Propagation of distributions (JCGM 101:2008): draws of each input, rectangular for limits and resolution. */
static void uncertainty_is_the_spread_of_many_weighings(void **state)
{
    enum { DRAWS = 200000 };
    uint64_t seed = 42;
    const struct weigh_case asked = any_case(&seed);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *volumes = malloc(DRAWS * sizeof *volumes);
    (void)state;
    assert_true(rng && volumes);
    for (int i = 0; i < DRAWS; i++) {
        struct weigh_case drawn = asked;
        drawn.gross_g += gsl_ran_gaussian(rng, asked.repeatability_g) + gsl_ran_gaussian(rng, asked.calibration_g) +
                         gsl_ran_flat(rng, -asked.resolution_g / 2, asked.resolution_g / 2);
        drawn.tare_g += gsl_ran_gaussian(rng, asked.tare_u_g);
        drawn.density += gsl_ran_flat(rng, -asked.density_limit, asked.density_limit);
        drawn.temperature_c += gsl_ran_flat(rng, -asked.temperature_limit_k, asked.temperature_limit_k);
        drawn.expansion_per_k += gsl_ran_flat(rng, -asked.expansion_limit_per_k, asked.expansion_limit_per_k);
        volumes[i] = answer_of(drawn).volume_ml;
    }
    const struct weigh_answer answer = answer_of(asked);
    const double spread = gsl_stats_sd(volumes, 1, DRAWS), mean = gsl_stats_mean(volumes, 1, DRAWS);
    assert_true(fabs(spread / answer.u_ml - 1) < 0.01); /* of 200 000 draws about 0.2 % */
    assert_true(fabs(mean - answer.volume_ml) < 0.02 * answer.u_ml);
    free(volumes);
    gsl_rng_free(rng);
}

/* JCGM 100 knows nothing of buoyancy here: it is one factor on all. */
static void buoyancy_is_one_factor_on_volumes_and_uncertainties(void **state)
{
    uint64_t seed = 43;
    (void)state;
    for (int turn = 0; turn < 200; turn++) {
        struct weigh_case asked = any_case(&seed);
        const struct weigh_answer without = answer_of(asked);
        asked.buoyancy = true;
        const struct weigh_answer with = answer_of(asked);
        const double k = with.buoyancy_factor;
        assert_true(without.buoyancy_factor == 1 && k > 1 && k < 1.002);
        assert_true(fabs(with.volume_ml - k * without.volume_ml) < 1e-9);
        assert_true(fabs(with.volume_ref_ml - k * without.volume_ref_ml) < 1e-9);
        assert_true(fabs(with.u_ml - k * without.u_ml) < 1e-9 && fabs(with.u_ref_ml - k * without.u_ref_ml) < 1e-9);
    }
}

static void a_density_of_the_weights_themselves_needs_no_correction(void **state)
{
    (void)state;
    const struct weigh_answer answer = answer_of((struct weigh_case){
        .gross_g = 80, .density = 8, .buoyancy = true, .nominal_ml = RULE_NULL, .zero_reading_g = RULE_NULL});
    assert_true(fabs(answer.buoyancy_factor - 1) < 1e-15 && fabs(answer.volume_ml - 10) < 1e-12);
}

static void nothing_but_numbers_comes_out(void **state)
{
    static const double values[] = {0, 1, -1, 1e308, -1e308, 1e-308};
    uint64_t seed = 44;
    (void)state;
    for (int turn = 0; turn < 20000; turn++) {
        struct weigh_case asked = any_case(&seed);
        struct weigh_answer answer;
        double *const inputs[] = {&asked.gross_g,         &asked.tare_g,        &asked.temperature_c,
                                  &asked.expansion_per_k, &asked.density_limit, &asked.reference_c};
        for (int i = 0; i < 3; i++)
            *inputs[random_below(&seed, 6)] = fabs(values[random_below(&seed, 6)]);
        asked.buoyancy = random_below(&seed, 2);
        if (ask(&asked, &answer))
            assert_true(rule_is_null(answer.volume_ml) ? !answer.accepted : isfinite(answer.u_ml));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(uncertainty_is_by_the_slopes_of_the_volume),
        cmocka_unit_test(uncertainty_is_the_spread_of_many_weighings),
        cmocka_unit_test(buoyancy_is_one_factor_on_volumes_and_uncertainties),
        cmocka_unit_test(a_density_of_the_weights_themselves_needs_no_correction),
        cmocka_unit_test(nothing_but_numbers_comes_out),
    };
    return cmocka_run_group_tests_name("rules/weigh", tests, NULL, NULL);
}
