#include "kiosk/rules/pmf.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "kiosk/rules/rule.h"

static bool start(struct arena *arena, size_t cells, struct pmf *pmf)
{
    if (cells > PMF_CELLS)
        return false;
    pmf->p = arena_take(arena, cells, sizeof *pmf->p);
    pmf->count = cells;
    return pmf->p != NULL;
}

/* How a distribution goes on: the logarithm of its first cell, and each cell's ratio to the one before. */
struct recursion {
    double log_first;
    double (*ratio)(const struct recursion *recursion, double k); /* cell k + 1 to cell k */
    double a, b;
};

/* Cells until what is left is below the tail. Two passes, one to count: the arena's pieces cannot grow. The sum of the
 * cells seen tells what is left but for rounding, so that a cell that adds nothing any more, beyond the mean, ends it
 * too. */
static bool recur(struct arena *arena, const struct recursion *recursion, double mean, struct pmf *pmf)
{
    double *cell = NULL;
    for (int pass = 0; pass < 2; pass++) {
        double log_p = recursion->log_first, sum = 0;
        size_t count = 0;
        for (bool last = false; !last; count++) {
            const double p = exp(log_p);
            last = sum + p >= 1 - PMF_TAIL || ((double)count > mean && p < PMF_TAIL * 1e-6);
            if (cell)
                cell[count] = last ? fmax(0, 1 - sum) : p;
            sum += p;
            log_p += log(recursion->ratio(recursion, (double)count));
            if (count >= PMF_CELLS)
                return false;
        }
        if (pass == 0 && !start(arena, count, pmf))
            return false;
        cell = pmf->p;
    }
    return true;
}

static bool certain(struct arena *arena, struct pmf *pmf)
{
    if (!start(arena, 1, pmf))
        return false;
    pmf->p[0] = 1;
    return true;
}

static double poisson_ratio(const struct recursion *recursion, double k)
{
    return recursion->a / (k + 1);
}

bool pmf_poisson(struct arena *arena, double mean, struct pmf *pmf)
{
    assert(mean >= 0);
    return mean > 0 ? recur(arena, &(struct recursion){-mean, poisson_ratio, mean, 0}, mean, pmf) : certain(arena, pmf);
}

static double negative_binomial_ratio(const struct recursion *recursion, double k)
{
    return (k + recursion->a) / (k + 1) * (1 - recursion->b);
}

bool pmf_negative_binomial_rp(struct arena *arena, double r, double p, struct pmf *pmf)
{
    assert(r > 0 && p > 0 && p <= 1);
    if (p == 1)
        return certain(arena, pmf);
    return recur(arena, &(struct recursion){r * log(p), negative_binomial_ratio, r, p}, r * (1 - p) / p, pmf);
}

bool pmf_negative_binomial(struct arena *arena, double mean, double variance, struct pmf *pmf)
{
    assert(mean > 0 && variance > mean);
    const double p = mean / variance, r = mean * p / (1 - p);
    return p > 0 && r > 0 && isfinite(r) && pmf_negative_binomial_rp(arena, r, p, pmf); /* they may underflow */
}

void pmf_cut_tail(struct pmf *pmf)
{
    double tail = 0;
    while (pmf->count > 1 && tail + pmf->p[pmf->count - 1] < PMF_TAIL)
        tail += pmf->p[--pmf->count];
    pmf->p[pmf->count - 1] += tail;
}

bool pmf_convolve(struct arena *arena, const struct pmf *a, const struct pmf *b, struct pmf *sum)
{
    struct pmf fresh;
    double some = 0; /* of a's cells; the others cost nothing */
    for (size_t i = 0; i < a->count; i++)
        some += a->p[i] > 0;
    if (some * (double)b->count > PMF_WORK || !start(arena, a->count + b->count - 1, &fresh))
        return false;
    for (size_t i = 0; i < a->count; i++)
        for (size_t k = 0; a->p[i] > 0 && k < b->count; k++)
            fresh.p[i + k] += a->p[i] * b->p[k];
    pmf_cut_tail(&fresh);
    *sum = fresh;
    return true;
}

/* By squaring: the tail is cut after each step, so that the cells stay few. */
bool pmf_times(struct arena *arena, const struct pmf *one, size_t times, struct pmf *sum)
{
    struct pmf power = *one, all;
    if (!certain(arena, &all))
        return false;
    for (; times > 0; times /= 2) {
        if (times % 2 && !pmf_convolve(arena, &all, &power, &all))
            return false;
        if (times > 1 && !pmf_convolve(arena, &power, &power, &power))
            return false;
    }
    *sum = all;
    return true;
}

double pmf_mean(const struct pmf *pmf)
{
    double mean = 0;
    for (size_t k = 0; k < pmf->count; k++)
        mean += (double)k * pmf->p[k];
    return mean;
}

double pmf_variance(const struct pmf *pmf)
{
    const double mean = pmf_mean(pmf);
    double variance = 0;
    for (size_t k = 0; k < pmf->count; k++)
        variance += ((double)k - mean) * ((double)k - mean) * pmf->p[k];
    return variance;
}

double pmf_at_most(const struct pmf *pmf, double x)
{
    if (x < 0)
        return 0;
    if (x >= (double)(pmf->count - 1))
        return 1;
    double sum = 0;
    for (size_t k = 0; (double)k <= x; k++)
        sum += pmf->p[k];
    return sum;
}

size_t pmf_quantile(const struct pmf *pmf, double p)
{
    double sum = 0;
    for (size_t k = 0; k + 1 < pmf->count; k++) {
        sum += pmf->p[k];
        if (sum >= p - RULE_PROBABILITY_SLACK)
            return k;
    }
    return pmf->count - 1;
}

double pmf_loss(const struct pmf *pmf, double x)
{
    double loss = 0;
    for (size_t k = pmf->count; k-- > 0 && (double)k > x;)
        loss += ((double)k - x) * pmf->p[k];
    return loss;
}
