#include "kiosk/rules/gamma_quantile.h"

#include <math.h>
#include <stdbool.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_gamma.h>

/* Shapes above it have an expansion that is all but exact; GSL 2.7's incomplete gamma functions go wrong from some 100
 * 000 on, by up to a hundredth (seen against R's pgamma). */
static const double LARGE = 10000;

/* Chance below or above e^log_x; NAN: failed. An underflow is a fair 0. */
static double chance(double a, double log_x, enum gamma_tail tail)
{
    gsl_sf_result result;
    const double x = exp(log_x);
    const int status = tail == GAMMA_BELOW ? gsl_sf_gamma_inc_P_e(a, x, &result) : gsl_sf_gamma_inc_Q_e(a, x, &result);
    return status == GSL_SUCCESS || status == GSL_EUNDRFLW ? result.val : NAN;
}

/* Cornish and Fisher's expansion, by Goldberg and Levine 1946 (Abramowitz, Stegun 26.2.49, from memory; checked against
 * R), of which the next term is of the order of 1 / a^2. */
static double far_from_small(double a, double p, enum gamma_tail tail)
{
    const double z = tail == GAMMA_BELOW ? gsl_cdf_ugaussian_Pinv(p) : gsl_cdf_ugaussian_Qinv(p), z2 = z * z,
                 root = sqrt(a);
    return log(a + z * root + (z2 - 1) / 3 + z * (z2 - 7) / (36 * root) - ((3 * z2 + 7) * z2 - 16) / (810 * a) +
               z * ((9 * z2 + 256) * z2 - 433) / (38880 * a * root));
}

/* Is the quantile above this? Not so either when the chance is NAN: the bracket then closes in on a place that its
 * caller checks. */
static bool is_above(double a, double log_x, double p, enum gamma_tail tail)
{
    const double is = chance(a, log_x, tail);
    return tail == GAMMA_BELOW ? is < p : is > p;
}

double gamma_log_quantile(double a, double p, enum gamma_tail tail)
{
    if (p > 0.5) { /* the smaller tail has more digits; of these p the rest to 1 is exact */
        p = 1 - p;
        tail = tail == GAMMA_BELOW ? GAMMA_ABOVE : GAMMA_BELOW;
    }
    if (a > LARGE)
        return far_from_small(a, p, tail);
    /* P(a, x) = x^a / Gamma(a + 1) (1 - a x / (a + 1) + ...): for tiny x that is all, and holds where x underflows */
    const double log_tiny = ((tail == GAMMA_BELOW ? log(p) : log1p(-p)) + gsl_sf_lngamma(a + 1)) / a;
    if (log_tiny < log(1e-5))
        return log_tiny + exp(log_tiny) / (a + 1);
    double low = log_tiny, high = log(a + 1); /* the first is below the quantile, for the series lies above P */
    while (is_above(a, high, p, tail) && high < log(1e300)) {
        low = high;
        high += 0.5;
    }
    for (int i = 0; i < 100 && low < high; i++) {
        const double middle = (low + high) / 2;
        if (middle <= low || middle >= high)
            break;
        if (is_above(a, middle, p, tail))
            low = middle;
        else
            high = middle;
    }
    return fabs(chance(a, high, tail) - p) < 1e-7 * p ? high : NAN;
}
