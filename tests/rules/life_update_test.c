#include "kiosk/rules/life_update.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>

#include "tests/reading/random.h"

/* Against the integral over theta itself (GSL), and what follows from Bayes' rule. */

enum { MOST = 12, TURNS = 300 };
static unsigned char memory[1 << 16];
static double hours[MOST];
static bool events[MOST];

static struct life_update_answer ask(const struct life_update_case *asked)
{
    struct arena arena;
    struct life_update_answer answer;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!life_update(asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static struct life_update_case make(uint64_t *random)
{
    struct life_update_case asked = {.beta = 0.5 + random_below(random, 50) / 10.0,
                                     .rated_hours = 100 + random_below(random, 900),
                                     .rated_p = 0.1,
                                     .prior_events = 0.5 + random_below(random, 40) / 10.0,
                                     .unit_count = (size_t)random_below(random, MOST + 1),
                                     .hours = hours,
                                     .events = events,
                                     .credible = 0.9,
                                     .keep_from_hours = random_below(random, 3) * 200,
                                     .keep_probability = 0.8,
                                     .lower_confidence = 0.9};
    for (size_t i = 0; i < asked.unit_count; i++) {
        hours[i] = 20 + random_below(random, 700);
        events[i] = random_below(random, 2);
    }
    return asked;
}

static bool is_near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance * fmax(1, fabs(b));
}

struct mixture {
    double a, b, hazard; /* of theta 1 */
};

static double lasts_and_is(double theta, void *of)
{
    const struct mixture *mixture = of;
    return gsl_ran_gamma_pdf(theta, mixture->a, 1 / mixture->b) * exp(-theta * mixture->hazard);
}

static void a_prediction_is_the_mean_over_theta(void **state)
{
    gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(4000);
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_update_case asked = make(&random);
        const struct weibull_span span = {random_below(&random, 600), 1 + random_below(&random, 400)};
        asked.predict = &span;
        asked.predict_count = 1;
        asked.prior_events += 1; /* a density that is finite at 0 */
        const struct life_update_answer answer = ask(&asked);
        struct mixture mixture = {
            answer.a, answer.b, pow(span.from_hours + span.more_hours, asked.beta) - pow(span.from_hours, asked.beta)};
        /* given that it reached `from_hours`, theta is smaller than the fit says: b grows by from^beta */
        mixture.b += pow(span.from_hours, asked.beta);
        gsl_function function = {lasts_and_is, &mixture};
        const double most = mixture.a / mixture.b, spread = sqrt(mixture.a) / mixture.b;
        double area = 0, error = 0, sum = 0;
        for (int i = 0; i * spread < most + 30 * spread; i++) {
            gsl_integration_qag(&function, i * spread, (i + 1) * spread, 0, 1e-9, 4000, GSL_INTEG_GAUSS31, workspace,
                                &area, &error);
            sum += area;
        }
        assert_true(is_near(answer.predict[0], sum, 1e-6));
    }
    gsl_integration_workspace_free(workspace);
}

static void the_hours_to_keep_keep_just_that_chance(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_update_case asked = make(&random);
        const double keep = ask(&asked).keep_hours;
        const struct weibull_span span = {asked.keep_from_hours, keep};
        asked.predict = &span;
        asked.predict_count = 1;
        assert_true(is_near(ask(&asked).predict[0], asked.keep_probability, 1e-9));
        asked.keep_probability = 0.9;
        assert_true(ask(&asked).keep_hours < keep);
    }
}

/* Vats learnt one after the other, or all at once: what comes out of the first is the prior of the second. */
static void learning_in_two_steps_is_learning_at_once(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        const struct life_update_case all = make(&random);
        if (all.unit_count < 2)
            continue;
        struct life_update_case first = all, second = all;
        first.unit_count = all.unit_count / 2;
        const struct life_update_answer half = ask(&first);
        second.hours = hours + first.unit_count;
        second.events = events + first.unit_count;
        second.unit_count = all.unit_count - first.unit_count;
        second.prior_events = half.a;
        second.rated_hours = half.b_life_hours;
        const struct life_update_answer one = ask(&all), two = ask(&second);
        assert_true(is_near(two.a, one.a, 1e-12) && is_near(two.b, one.b, 1e-9));
        assert_true(is_near(two.b_life_upper_hours, one.b_life_upper_hours, 1e-9));
    }
}

static void the_interval_holds_the_median_and_a_strong_prior_is_the_rating(void **state)
{
    uint64_t random = 4;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_update_case asked = make(&random);
        const struct life_update_answer answer = ask(&asked);
        assert_true(answer.b_life_lower_hours < answer.b_life_median_hours &&
                    answer.b_life_median_hours < answer.b_life_upper_hours);
        assert_true(!(answer.classical.eta_lower_hours >= answer.classical.eta_hours));
        asked.credible = 0.99;
        assert_true(ask(&asked).b_life_lower_hours < answer.b_life_lower_hours);
        asked.prior_events = 1e9;
        const struct life_update_answer sure = ask(&asked);
        assert_true(is_near(sure.b_life_hours, asked.rated_hours, 1e-4) &&
                    is_near(sure.b_life_lower_hours, asked.rated_hours, 1e-3));
    }
}

/* With hours in other units all hours are, and chances are not, from seconds to ages. */
static void the_scale_of_hours_does_not_matter(void **state)
{
    uint64_t random = 5;
    (void)state;
    for (int power = -250; power <= 250; power += 50) {
        struct life_update_case asked = make(&random);
        const struct weibull_span span = {300, 100}, scaled = {300 * pow(10, power), 100 * pow(10, power)};
        asked.predict = &span;
        asked.predict_count = 1;
        const struct life_update_answer one = ask(&asked);
        const double predicted = one.predict[0];
        for (size_t i = 0; i < asked.unit_count; i++)
            hours[i] *= pow(10, power);
        asked.rated_hours *= pow(10, power);
        asked.keep_from_hours *= pow(10, power);
        asked.predict = &scaled;
        const struct life_update_answer other = ask(&asked);
        assert_true(is_near(other.b_life_hours / pow(10, power), one.b_life_hours, 1e-9));
        assert_true(is_near(other.b_life_upper_hours / pow(10, power), one.b_life_upper_hours, 1e-9));
        assert_true(is_near(other.keep_hours / pow(10, power), one.keep_hours, 1e-8));
        assert_true(is_near(other.predict[0], predicted, 1e-9));
    }
}

/* Extremes of every number: null with a word, never NAN as an answer without one. */
static void what_no_number_holds_is_unknown(void **state)
{
    static const double ends[] = {1e-300, 1e-3, 1, 1e3, 1e300};
    enum { ENDS = sizeof ends / sizeof *ends };
    (void)state;
    for (int beta = 0; beta < ENDS; beta++)
        for (int rated = 0; rated < ENDS; rated++)
            for (int prior = 0; prior < ENDS; prior++)
                for (int from = 0; from < ENDS; from++) {
                    const struct weibull_span span = {ends[from], ends[rated]};
                    hours[0] = ends[from];
                    hours[1] = ends[ENDS - 1 - from];
                    events[0] = events[1] = true;
                    const struct life_update_case asked = {ends[beta], ends[rated], 0.1, ends[prior], 2,
                                                           hours,      events,      0.9, &span,       1,
                                                           ends[from], 0.9,         0.9};
                    const struct life_update_answer answer = ask(&asked);
                    const double numbers[] = {answer.b,
                                              answer.eta_hours,
                                              answer.b_life_hours,
                                              answer.b_life_median_hours,
                                              answer.b_life_lower_hours,
                                              answer.b_life_upper_hours,
                                              answer.keep_hours,
                                              answer.predict[0]};
                    int nulls = 0;
                    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
                        assert_false(isinf(numbers[i]) || numbers[i] < 0);
                        nulls += rule_is_null(numbers[i]);
                    }
                    assert_true(answer.said.unknown_count >= nulls);
                }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_prediction_is_the_mean_over_theta),
        cmocka_unit_test(the_hours_to_keep_keep_just_that_chance),
        cmocka_unit_test(learning_in_two_steps_is_learning_at_once),
        cmocka_unit_test(the_interval_holds_the_median_and_a_strong_prior_is_the_rating),
        cmocka_unit_test(the_scale_of_hours_does_not_matter),
        cmocka_unit_test(what_no_number_holds_is_unknown),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("rules/life_update", tests, NULL, NULL);
}
