#include "kiosk/rules/weibull_fit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "kiosk/rules/weibull_likelihood.h"
#include "tests/reading/random.h"

/* Against the likelihood itself, written down here in long double, and what follows from it. The published sets and R's
 * answers stand in fixtures/compute/weibull-fit.json. */

enum { MOST = 40, TURNS = 300, MANY = 10000, ROOM = 1 << 20 };
static unsigned char memory[ROOM];

struct units {
    double hours[MANY];
    bool events[MANY];
    size_t count;
};
static struct units units, other;

/* Inverse of P(T > t); every third is censored somewhere before. */
static void draw(uint64_t *random, size_t count, double eta, double beta)
{
    units.count = count;
    for (size_t i = 0; i < count; i++) {
        const double u = (random_next(random) + 0.5) / 4294967296.0;
        units.events[i] = i < 3 || random_below(random, 3) > 0;
        units.hours[i] = eta * pow(-log(u), 1 / beta) * (units.events[i] ? 1 : 1 - random_below(random, 50) / 100.0);
    }
}

static struct weibull_estimate fit(const struct units *of)
{
    struct arena arena;
    struct weibull_estimate estimate;
    arena_init(&arena, memory, sizeof memory);
    assert_int_equal(weibull_estimate(of->hours, of->events, of->count, &arena, &estimate), WEIBULL_FOUND);
    return estimate;
}

static long double log_likelihood(const struct units *of, long double log_eta, long double log_sigma)
{
    const long double beta = expl(-log_sigma);
    long double sum = 0;
    for (size_t i = 0; i < of->count; i++) {
        const long double z = beta * (logl(of->hours[i]) - log_eta);
        sum += (of->events[i] ? -log_sigma + z - logl(of->hours[i]) : 0) - expl(z);
    }
    return sum;
}

static bool is_near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance * fmax(1, fabs(b));
}

static void the_fit_is_the_top_of_the_likelihood(void **state)
{
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        draw(&random, 4 + (size_t)random_below(&random, MOST - 4), 500, 0.3 + random_below(&random, 60) / 10.0);
        const struct weibull_estimate found = fit(&units);
        const long double m = found.weibull.log_eta, s = -logl(found.weibull.beta), h = 1e-4L * expl(s);
        const long double top = log_likelihood(&units, m, s);
        assert_true(is_near(found.log_likelihood, (double)top, 1e-10));
        for (int way = 0; way < 4; way++) /* near and far, each way */
            for (int far = 0; far < 4; far++) {
                const long double reach = powl(10, far - 3);
                assert_true(log_likelihood(&units,
                                           m + (way == 0   ? reach
                                                : way == 1 ? -reach
                                                           : 0) *
                                                   expl(s),
                                           s + (way == 2   ? reach
                                                : way == 3 ? -reach
                                                           : 0)) < top);
            }
        /* flat at the top: slopes by central differences */
        assert_true(fabsl(log_likelihood(&units, m + h, s) - log_likelihood(&units, m - h, s)) < 1e-7L * h * 1e4L);
        assert_true(fabsl(log_likelihood(&units, m, s + 1e-4L) - log_likelihood(&units, m, s - 1e-4L)) < 1e-7L);
    }
}

/* Information by second differences of the likelihood, inverted here. */
static void the_covariance_is_the_inverse_of_the_curvature(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        draw(&random, 6 + (size_t)random_below(&random, MOST - 6), 500, 0.5 + random_below(&random, 40) / 10.0);
        const struct weibull_estimate found = fit(&units);
        const long double m = found.weibull.log_eta, s = -logl(found.weibull.beta), k = 1e-3L, h = k * expl(s);
        const long double top = log_likelihood(&units, m, s);
        const long double mm =
            (2 * top - log_likelihood(&units, m + h, s) - log_likelihood(&units, m - h, s)) / (h * h);
        const long double ss =
            (2 * top - log_likelihood(&units, m, s + k) - log_likelihood(&units, m, s - k)) / (k * k);
        const long double ms = -(log_likelihood(&units, m + h, s + k) - log_likelihood(&units, m + h, s - k) -
                                 log_likelihood(&units, m - h, s + k) + log_likelihood(&units, m - h, s - k)) /
                               (4 * h * k);
        const long double determinant = mm * ss - ms * ms;
        assert_true(is_near(found.v_location / (double)(ss / determinant), 1, 1e-3));
        assert_true(is_near(found.v_scale / (double)(mm / determinant), 1, 1e-3));
        assert_true(fabs(found.v_both + (double)(ms / determinant)) < 1e-3 * sqrt(found.v_location * found.v_scale));
    }
}

/* Lives in other units of time are the same lives, from what a clock could not tell to what no clock will see. */
static void the_scale_of_hours_does_not_matter(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int power = -290; power <= 290; power += 29) {
        draw(&random, MOST, 700, 2.5);
        const struct weibull_estimate one = fit(&units);
        other = units;
        for (size_t i = 0; i < units.count; i++)
            other.hours[i] = units.hours[i] * pow(10, power);
        const struct weibull_estimate scaled = fit(&other);
        assert_true(is_near(scaled.weibull.beta, one.weibull.beta, 1e-9));
        assert_true(is_near(scaled.weibull.log_eta, one.weibull.log_eta + power * log(10), 1e-10));
        assert_true(is_near(scaled.v_location, one.v_location, 1e-8) && is_near(scaled.v_scale, one.v_scale, 1e-8));
    }
}

/* The c-th power of a Weibull life is one of beta / c: shapes from 0.05 to 50 out of one sample. */
static void powers_of_lives_have_other_shapes_and_the_same_fit(void **state)
{
    static const double shapes[] = {0.05, 0.2, 1, 5, 50, 400};
    uint64_t random = 4;
    (void)state;
    draw(&random, MANY, 1, 1);
    const struct weibull_estimate one = fit(&units);
    assert_true(is_near(one.weibull.beta, 1, 0.05)); /* so many are near what they were drawn from */
    for (size_t k = 0; k < sizeof shapes / sizeof *shapes; k++) {
        other = units;
        for (size_t i = 0; i < units.count; i++)
            other.hours[i] = 300 * pow(units.hours[i], 1 / shapes[k]);
        const struct weibull_estimate found = fit(&other);
        assert_true(is_near(found.weibull.beta / (one.weibull.beta * shapes[k]), 1, 1e-8));
        assert_true(is_near((found.weibull.log_eta - log(300)) * shapes[k], one.weibull.log_eta, 1e-8));
        assert_true(is_near(found.v_scale, one.v_scale, 1e-7));
    }
}

/* Ten thousand of which one wore out, lives that differ in the last bits, ties: a fit, and at the top. */
static void odd_samples_have_their_fit_too(void **state)
{
    (void)state;
    units.count = MANY;
    for (size_t i = 0; i < MANY; i++) {
        units.hours[i] = 100 + (double)(i % 100);
        units.events[i] = i == 5;
    }
    for (int turn = 0; turn < 3; turn++) {
        if (turn == 1) {
            units.count = 4;
            for (size_t i = 0; i < 4; i++) {
                units.hours[i] = 1000 * (1 + (double)i * 2.3e-16);
                units.events[i] = i < 2;
            }
        }
        if (turn == 2)
            units = (struct units){{1e-300, 1e300, 1, 1, 1}, {true, true, true, false, true}, 5};
        const struct weibull_estimate found = fit(&units);
        assert_true(found.weibull.beta > 0 && isfinite(found.weibull.beta) && isfinite(found.weibull.log_eta));
        const long double m = found.weibull.log_eta, s = -logl(found.weibull.beta), top = log_likelihood(&units, m, s);
        if (turn == 1)
            continue; /* ln of the hours cannot tell them apart, even in long double */
        for (int far = 0; far < 5; far++) {
            const long double reach = 0.01L * powl(3, far);
            assert_true(log_likelihood(&units, m, s + reach) < top && log_likelihood(&units, m, s - reach) < top);
        }
    }
}

static void without_a_top_there_is_no_fit(void **state)
{
    static const struct {
        double hours[3];
        bool events[3];
        size_t count;
    } none[] = {{{0}, {false}, 0},
                {{4}, {true}, 1},
                {{4, 4, 4}, {true, true, true}, 3},
                {{3, 4, 4}, {false, true, true}, 3},
                {{3, 4, 5}, {false, false, false}, 3}};
    struct arena arena;
    struct weibull_estimate estimate;
    (void)state;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        arena_init(&arena, memory, sizeof memory);
        assert_int_equal(weibull_estimate(none[i].hours, none[i].events, none[i].count, &arena, &estimate),
                         WEIBULL_NONE);
    }
}

/* A curve so flat that its mean is beyond a double: null with a word, and the rest is there. */
static void what_no_number_holds_is_unknown(void **state)
{
    static const double hours[] = {1e-300, 1e-100, 1, 1e250}, p[] = {0.5, 0.999999};
    static const bool events[] = {true, true, true, true};
    static const double at[] = {0, 1e300};
    const struct weibull_fit_case asked = {.unit_count = 4,
                                           .hours = hours,
                                           .events = events,
                                           .b_lives = p,
                                           .b_life_count = 2,
                                           .confidence = 0.95,
                                           .mean_remaining_at = at,
                                           .mean_remaining_count = 2};
    struct arena arena;
    struct weibull_fit_answer answer;
    struct rule_fault fault = {0};
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_true(weibull_fit(&asked, &arena, &answer, &fault));
    assert_true(answer.beta > 0 && answer.eta_hours > 0 && rule_is_null(answer.mean_hours));
    assert_true(rule_is_null(answer.mean_remaining_hours[0]));
    assert_true(answer.b_lives[0].hours > 0 && rule_is_null(answer.b_lives[1].upper_hours));
    bool said = false;
    for (int i = 0; i < answer.said.unknown_count; i++)
        said = said || strcmp(answer.said.unknown[i].key, "mean_hours") == 0;
    assert_true(said);
    for (size_t size = 0; size < 600; size += 16) {
        arena_init(&arena, memory, size);
        fault = (struct rule_fault){0};
        if (!weibull_fit(&asked, &arena, &answer, &fault))
            assert_int_equal(fault.code, RULE_RANGE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fit_is_the_top_of_the_likelihood),
        cmocka_unit_test(the_covariance_is_the_inverse_of_the_curvature),
        cmocka_unit_test(the_scale_of_hours_does_not_matter),
        cmocka_unit_test(powers_of_lives_have_other_shapes_and_the_same_fit),
        cmocka_unit_test(odd_samples_have_their_fit_too),
        cmocka_unit_test(without_a_top_there_is_no_fit),
        cmocka_unit_test(what_no_number_holds_is_unknown),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/weibull_fit", tests, NULL, NULL);
}
