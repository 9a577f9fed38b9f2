#include "kiosk/rules/sampling.h"

#include <assert.h>
#include <float.h>
#include <math.h>
#include <stdbool.h>

static const double TWO_PI = 6.283185307179586476925286766559;

/* ln(n!) less Stirling's formula for it, n from 1 on: as it stands while n! is exact, then by Stirling's series, whose
 * first term left out is 1e-16 at most. */
static double stirling_rest(double n)
{
    if (n < 16)
        return log(tgamma(n + 1)) - (n + 0.5) * log(n) + n - 0.5 * log(TWO_PI);
    const double square = n * n;
    return (1.0 / 12 - (1.0 / 360 - (1.0 / 1260 - (1.0 / 1680 - 1.0 / 1188 / square) / square) / square) / square) / n;
}

/* x ln(x / mean) + mean - x for x > 0: how unlikely x is by its distance from the mean; near it as a series, for there
 * the sum would leave nothing of its terms. */
static double deviance(double x, double mean)
{
    const double ratio = (x - mean) / (x + mean);
    if (fabs(ratio) >= 0.1)
        return x * log(x / mean) + mean - x;
    double sum = (x - mean) * ratio, power = 2 * x * ratio;
    for (int odd = 3;; odd += 2) {
        power *= ratio * ratio;
        const double next = sum + power / odd;
        if (next == sum)
            return sum;
        sum = next;
    }
}

/* P(X = k) of a binomial; `wrong` and `good` sum to 1 and are both given, as one may be too small to be told by the
 * other. */
static double binomial_cell(int64_t draws, double wrong, double good, int64_t k)
{
    const double n = (double)draws, x = (double)k, y = (double)(draws - k);
    if (wrong <= 0 || good <= 0)
        return (wrong <= 0 ? k == 0 : k == draws) ? 1 : 0;
    if (k == 0)
        return wrong < 0.1 ? exp(n * log1p(-wrong)) : exp(n * log(good));
    if (k == draws)
        return good < 0.1 ? exp(n * log1p(-good)) : exp(n * log(wrong));
    const double away = deviance(x, n * wrong) + deviance(y, n * good);
    return exp(stirling_rest(n) - stirling_rest(x) - stirling_rest(y) - away) * sqrt(n / (TWO_PI * x * y));
}

/* What the two have in common: cells from `least` to `most`, each with its ratio to the one before. */
struct law {
    int64_t all, in, draws; /* of `all` records `in` are wrong; all 0: an endless list */
    double wrong, good;     /* shares of the endless list, which sum to 1 */
    int64_t least, most;
    double mean;
};

static double cell(const struct law *law, int64_t k)
{
    if (law->all == 0)
        return binomial_cell(law->draws, law->wrong, law->good, k);
    const double drawn = (double)law->draws / (double)law->all,
                 left = (double)(law->all - law->draws) / (double)law->all;
    return binomial_cell(law->in, drawn, left, k) * (binomial_cell(law->all - law->in, drawn, left, law->draws - k) /
                                                     binomial_cell(law->all, drawn, left, law->draws));
}

/* Cell k + 1 to cell k. */
static double step_up(const struct law *law, int64_t k)
{
    const double x = (double)k, n = (double)law->draws;
    if (law->all == 0)
        return (n - x) / (x + 1) * (law->wrong / law->good);
    const double good_left = (double)(law->all - law->in - law->draws + k + 1);
    return ((double)law->in - x) / (x + 1) * ((n - x) / good_left);
}

/* Below DBL_MIN a number is rounded so coarsely that it may stay where it is, step after step. */
static bool still_counts(double p, double sum)
{
    return p > sum * 1e-18 && p > DBL_MIN;
}

/* P(X <= most), from the end that is away from the mean: there the cells become less with each step. */
static double at_most(const struct law *law, int64_t most)
{
    if (most < law->least)
        return 0;
    if (most >= law->most)
        return 1;
    double sum = 0;
    if ((double)most < law->mean) {
        int64_t k = most;
        for (double p = cell(law, k); still_counts(p, sum); p /= step_up(law, k)) {
            sum += p;
            if (--k < law->least)
                break;
        }
        return fmin(1, sum);
    }
    int64_t k = most + 1;
    for (double p = cell(law, k); still_counts(p, sum);) {
        sum += p;
        if (k == law->most)
            break;
        p *= step_up(law, k++);
    }
    return fmax(0, 1 - sum);
}

double sampling_binomial_at_most(int64_t draws, double wrong, int64_t most)
{
    assert(draws >= 0 && draws <= SAMPLING_MOST_DRAWS && wrong >= 0 && wrong <= 1);
    if (wrong == 1)
        return most >= draws ? 1 : 0;
    const struct law law = {
        .draws = draws, .wrong = wrong, .good = 1 - wrong, .most = draws, .mean = (double)draws * wrong};
    return at_most(&law, most);
}

double sampling_hypergeometric_at_most(int64_t all, int64_t wrong, int64_t draws, int64_t most)
{
    assert(all >= 0 && all <= SAMPLING_MOST && wrong >= 0 && wrong <= all && draws >= 0 && draws <= all);
    const int64_t least = wrong + draws - all;
    const struct law law = {.all = all,
                            .in = wrong,
                            .draws = draws,
                            .least = least > 0 ? least : 0,
                            .most = wrong < draws ? wrong : draws,
                            .mean = all > 0 ? (double)wrong / (double)all * (double)draws : 0};
    return at_most(&law, most);
}

/* The share of good ones with which so many or more good ones are just as rare as `risk`. Bisected until two neighbours
 * are left, in the share itself: a small one cannot be had from 1 less another. */
double sampling_lower_limit(int64_t draws, int64_t good, double risk)
{
    double low = 0, high = 1;
    assert(draws > 0 && draws <= SAMPLING_MOST && good >= 0 && good <= draws && risk > 0 && risk < 1);
    if (good == 0)
        return 0;
    for (double middle = 0.5; middle > low && middle < high; middle = low + (high - low) / 2) {
        const struct law bad = {
            .draws = draws, .wrong = 1 - middle, .good = middle, .most = draws, .mean = (double)draws * (1 - middle)};
        if (at_most(&bad, draws - good) < risk)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* With which so many or fewer are. */
double sampling_upper_limit(int64_t draws, int64_t good, double risk)
{
    double low = 0, high = 1;
    assert(draws > 0 && draws <= SAMPLING_MOST && good >= 0 && good <= draws && risk > 0 && risk < 1);
    if (good == draws)
        return 1;
    for (double middle = 0.5; middle > low && middle < high; middle = low + (high - low) / 2) {
        if (sampling_binomial_at_most(draws, middle, good) > risk)
            low = middle;
        else
            high = middle;
    }
    return low;
}
