#include "kiosk/rules/demand_bootstrap.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>

#define MOST_JITTERED 1e7 /* cells of jittered sizes; about a second */
#define JITTER_SPAN   9.0 /* standard deviations; beyond are 1e-19 */

bool demand_is_whole(const struct demand_series *series)
{
    for (size_t i = 0; i < series->count; i++)
        if (series->demand[i] != floor(series->demand[i]))
            return false;
    return true;
}

struct demand_chain demand_chain_iid(const struct demand_series *series)
{
    size_t some = 0;
    assert(series->count > 0);
    for (size_t i = 0; i < series->count; i++)
        some += series->demand[i] > 0;
    const double chance = (double)some / (double)series->count;
    return (struct demand_chain){chance, chance, series->demand[series->count - 1] > 0};
}

bool demand_chain_markov(const struct demand_series *series, bool half, struct demand_chain *chain)
{
    double left[2] = {0}, to_some[2] = {0};
    assert(series->count > 0);
    for (size_t i = 1; i < series->count; i++) {
        const int from = series->demand[i - 1] > 0;
        left[from]++;
        to_some[from] += series->demand[i] > 0;
    }
    if (!half && (left[0] == 0 || left[1] == 0))
        return false;
    const double above = half ? 0.5 : 0, below = half ? 1 : 0;
    *chain = (struct demand_chain){(to_some[0] + above) / (left[0] + below), (to_some[1] + above) / (left[1] + below),
                                   series->demand[series->count - 1] > 0};
    return true;
}

/* --- sizes --- */

static double highest_jittered(double size)
{
    return ceil(size + JITTER_SPAN * sqrt(size)) + 1;
}

/* P(X + Z sqrt(X) between low and high), from the nearer tail, so that small chances keep their digits. */
static double chance_between(double low, double high, double size)
{
    const double a = (low - size) / sqrt(size), b = (high - size) / sqrt(size);
    return a > 0 ? gsl_cdf_ugaussian_Q(a) - gsl_cdf_ugaussian_Q(b) : gsl_cdf_ugaussian_P(b) - gsl_cdf_ugaussian_P(a);
}

/* The fraction is cut off towards 0: 1 is reached from -1 to 1, k from k - 1 to k, and up to -1 the size stays. */
static void add_jittered(double size, double weight, struct pmf *sizes)
{
    const size_t last = (size_t)highest_jittered(size);
    sizes->p[(size_t)size] += weight * gsl_cdf_ugaussian_P((-1 - size) / sqrt(size));
    sizes->p[1] += weight * chance_between(-1, 1, size);
    for (size_t k = 2; k < last; k++)
        sizes->p[k] += weight * chance_between((double)k - 1, (double)k, size);
    sizes->p[last] += weight * gsl_cdf_ugaussian_Q(((double)last - 1 - size) / sqrt(size));
}

static bool jitter_sizes(const struct pmf *raw, struct arena *arena, struct pmf *sizes)
{
    double cells = 0;
    for (size_t k = 1; k < raw->count; k++)
        cells += raw->p[k] > 0 ? highest_jittered((double)k) : 0;
    if (cells > MOST_JITTERED)
        return false;
    *sizes = (struct pmf){.count = (size_t)highest_jittered((double)(raw->count - 1)) + 1};
    sizes->p = arena_take(arena, sizes->count, sizeof *sizes->p);
    for (size_t k = 1; sizes->p && k < raw->count; k++)
        if (raw->p[k] > 0)
            add_jittered((double)k, raw->p[k], sizes);
    return sizes->p != NULL;
}

bool demand_sizes(const struct demand_series *series, bool jitter, struct arena *arena, struct pmf *sizes)
{
    double largest = 0, some = 0;
    for (size_t i = 0; i < series->count; i++) {
        largest = fmax(largest, series->demand[i]);
        some += series->demand[i] > 0;
    }
    assert(some > 0);
    if (largest >= PMF_CELLS)
        return false;
    struct pmf raw = {.count = (size_t)largest + 1};
    raw.p = arena_take(arena, raw.count, sizeof *raw.p);
    if (!raw.p)
        return false;
    for (size_t i = 0; i < series->count; i++)
        if (series->demand[i] > 0)
            raw.p[(size_t)series->demand[i]] += 1 / some;
    if (jitter)
        return jitter_sizes(&raw, arena, sizes);
    *sizes = raw;
    return true;
}

/* --- their sum --- */

/* Chances of (state of the last period, sum so far), sums up to `top`. */
struct walk {
    double *none, *some, *hit;
    size_t top;
};

static void step(const struct demand_chain *chain, const struct pmf *sizes, struct walk *walk)
{
    for (size_t sum = 0; sum <= walk->top; sum++) {
        const double none = walk->none[sum], some = walk->some[sum];
        walk->hit[sum] = none * chain->after_none + some * chain->after_some;
        walk->none[sum] = none * (1 - chain->after_none) + some * (1 - chain->after_some);
    }
    memset(walk->some, 0, (walk->top + sizes->count) * sizeof *walk->some);
    for (size_t size = 1; size < sizes->count; size++)
        for (size_t sum = 0; sizes->p[size] > 0 && sum <= walk->top; sum++)
            walk->some[sum + size] += sizes->p[size] * walk->hit[sum];
    walk->top += sizes->count - 1;
}

static bool is_a_moment_s_work(const struct pmf *sizes, double periods)
{
    const double cells = periods * (double)(sizes->count - 1) + 1;
    size_t different = 2; /* the states */
    for (size_t k = 0; k < sizes->count; k++)
        different += sizes->p[k] > 0;
    return cells <= PMF_CELLS && cells / 2 * periods * (double)different <= PMF_WORK;
}

bool demand_chain_sum(const struct demand_chain *chain, const struct pmf *sizes, double periods, struct arena *arena,
                      struct pmf *sum)
{
    assert(periods >= 0 && periods == floor(periods));
    if (!is_a_moment_s_work(sizes, periods))
        return false;
    const size_t cells = (size_t)periods * (sizes->count - 1) + 1;
    struct walk walk = {arena_take(arena, cells, sizeof(double)), arena_take(arena, cells, sizeof(double)),
                        arena_take(arena, cells, sizeof(double)), 0};
    if (!walk.none || !walk.some || !walk.hit)
        return false;
    (chain->some_now ? walk.some : walk.none)[0] = 1;
    for (size_t period = 0; period < (size_t)periods; period++)
        step(chain, sizes, &walk);
    for (size_t k = 0; k < cells; k++)
        walk.none[k] += walk.some[k];
    *sum = (struct pmf){walk.none, cells};
    pmf_cut_tail(sum);
    return true;
}
