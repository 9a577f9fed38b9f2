#include "kiosk/rules/weibull_likelihood.h"

#include <math.h>

/* Lives as logarithms below the largest one, so that powers of any shape stay within 0 and 1. */
struct sample {
    double *x; /* ln(hours / largest) */
    size_t count;
    double largest;
    double events;  /* how many */
    double event_x; /* mean x of the events */
    double spread;  /* standard deviation of x */
};

/* Of the x, each weighted by e^(beta x). */
struct moments {
    double sum; /* of the weights */
    double mean, variance;
};

static bool take_logarithms(const double *hours, const bool *events, size_t count, struct arena *arena,
                            struct sample *sample)
{
    double sum = 0, squares = 0;
    *sample = (struct sample){.x = arena_take(arena, count, sizeof *sample->x), .count = count};
    if (!sample->x)
        return false;
    for (size_t i = 0; i < count; i++)
        sample->largest = fmax(sample->largest, hours[i]);
    const double log_largest = log(sample->largest);
    for (size_t i = 0; i < count; i++) {
        /* near the largest the difference is exact and its logarithm too, however close they are */
        const double x = hours[i] > sample->largest / 2 ? log1p((hours[i] - sample->largest) / sample->largest)
                                                        : log(hours[i]) - log_largest;
        sample->x[i] = x;
        sum += x;
        squares += x * x;
        sample->events += events[i];
        sample->event_x += events[i] ? x : 0;
    }
    sample->event_x /= sample->events;
    sample->spread = sqrt(fmax(0, squares - sum * sum / (double)count) / (double)count);
    return true;
}

static struct moments moments_at(const struct sample *sample, double beta)
{
    double sum = 0, first = 0, second = 0;
    for (size_t i = 0; i < sample->count; i++) {
        const double x = sample->x[i], weight = exp(beta * x);
        sum += weight;
        first += weight * x;
        second += weight * x * x;
    }
    const double mean = first / sum;
    return (struct moments){sum, mean, fmax(0, second / sum - mean * mean)};
}

/* The derivative of the profile likelihood is -d g(beta), g = mean - 1 / beta - event_x, and g grows. Of the weights,
 * that of the largest life is 1 and weight times |x| is 1 / (e beta) at most, so that 0 >= mean >= -count / (e beta):
 * the root lies between 1 and 1 + count / e times 1 / |event_x|. Newton's steps on ln beta within that bracket, halving
 * it where they leave it or do not get shorter quickly (Press et al., Numerical Recipes, "rtsafe", from memory). */
static double find_shape(const struct sample *sample)
{
    enum { STEPS = 200 };
    const double precision = 1e-13, menon = 1.28254983; /* pi / sqrt(6): spread of ln of a life of shape 1 */
    double low = -log(-sample->event_x), high = low + log1p((double)sample->count / exp(1));
    double at = fmin(high, fmax(low, log(menon / sample->spread))), last_step = high - low;
    for (int i = 0; i < STEPS; i++) {
        const double beta = exp(at);
        const struct moments moments = moments_at(sample, beta);
        const double g = moments.mean - 1 / beta - sample->event_x;
        double step = -g / (beta * moments.variance + 1 / beta);
        if (g > 0)
            high = at;
        else
            low = at;
        if (!(at + step >= low && at + step <= high) || fabs(step) > last_step / 2)
            step = (low + high) / 2 - at;
        at += step;
        last_step = fabs(step);
        if (last_step < precision)
            break;
    }
    return exp(at);
}

/* At the maximum the sums of the second derivatives become those of z = (ln t - ln eta) / sigma under the weights:
 * information d / sigma^2, d E[z] / sigma, d (1 + E[z^2]), of which the determinant needs the variance of z only. */
static void set_covariance(const struct sample *sample, const struct moments *moments, double log_scale,
                           struct weibull_estimate *estimate)
{
    const double beta = estimate->weibull.beta, sigma = 1 / beta, z = beta * (moments->mean - log_scale),
                 variance = beta * beta * moments->variance, common = sample->events * (1 + variance);
    estimate->v_location = sigma * sigma * (1 + variance + z * z) / common;
    estimate->v_both = -sigma * z / common;
    estimate->v_scale = 1 / common;
}

enum weibull_found weibull_estimate(const double *hours, const bool *events, size_t count, struct arena *arena,
                                    struct weibull_estimate *estimate)
{
    struct sample sample;
    if (!take_logarithms(hours, events, count, arena, &sample))
        return WEIBULL_NO_ROOM;
    if (!(sample.event_x < 0)) /* not so either when there is no event */
        return WEIBULL_NONE;
    const double beta = find_shape(&sample);
    const struct moments moments = moments_at(&sample, beta);
    const double log_largest = log(sample.largest), log_scale = log(moments.sum / sample.events) / beta; /* of eta */
    estimate->weibull = (struct weibull){log_largest + log_scale, beta};
    /* the sum of (t / eta)^beta is the number of events there */
    estimate->log_likelihood =
        sample.events * (log(beta) + beta * (sample.event_x - log_scale) - sample.event_x - log_largest - 1);
    set_covariance(&sample, &moments, log_scale, estimate);
    return WEIBULL_FOUND;
}

double weibull_log_quantile_se(const struct weibull_estimate *estimate, double p)
{
    const double slope = log(-log1p(-p)) / estimate->weibull.beta; /* of ln t by ln sigma */
    return sqrt(fmax(0, estimate->v_location + 2 * slope * estimate->v_both + slope * slope * estimate->v_scale));
}
