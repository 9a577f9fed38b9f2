#include "kiosk/rules/weibull.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_gamma.h>

double weibull_log_quantile(struct weibull weibull, double p)
{
    return weibull.log_eta + log(-log1p(-p)) / weibull.beta;
}

double weibull_mean(struct weibull weibull)
{
    return exp(weibull.log_eta + gsl_sf_lngamma(1 + 1 / weibull.beta));
}

/* ln((t / eta)^beta); -INFINITY at 0. */
static double log_hazard(struct weibull weibull, double t)
{
    return weibull.beta * (log(t) - weibull.log_eta);
}

double weibull_hazard(struct weibull weibull, double from, double more)
{
    const double growth = from > 0 ? weibull.beta * log1p(more / from) : INFINITY; /* of the logarithm */
    if (more == 0 || growth == 0)
        return 0;
    if (growth < 1) /* the two are close: their difference by a function that is exact for small ones */
        return exp(log_hazard(weibull, from) + log(expm1(growth)));
    const double end = exp(log_hazard(weibull, from + more));
    return isinf(end) ? end : end - exp(log_hazard(weibull, from));
}

/* Gamma(a, u) e^u / u^a for u >= a + 1 by its continued fraction (Legendre; Abramowitz, Stegun 6.5.31), evaluated from
 * the front (Lentz's way, modified by Thompson and Barnett 1986). Neither the tiny Gamma(a, u) nor the huge e^u is
 * ever formed, so it holds far out, where Q(a, u) itself underflows. */
static double scaled_upper_gamma(double a, double u)
{
    enum { TERMS = 10000 };
    double b = u + 1 - a, d = 1 / b, c = INFINITY, h = d;
    for (int i = 1; i < TERMS; i++) {
        const double an = -i * (i - a);
        b += 2;
        d = 1 / (an * d + b);
        c = b + an / c;
        h *= d * c;
        if (fabs(d * c - 1) < 1e-15)
            break;
    }
    return h;
}

/* The area under P(T > t) beyond `from` over its height there: eta / beta Gamma(1 / beta, u) e^u, u = (from /
 * eta)^beta.
 */
double weibull_mean_remaining(struct weibull weibull, double from)
{
    const double a = 1 / weibull.beta, log_u = log_hazard(weibull, from), u = exp(log_u);
    if (!(u > 0))
        return weibull_mean(weibull);
    if (log_u > 50) /* the leading term of the fraction, 1 / u, is all that is left of it */
        return exp(log(from) + log(a) - log_u);
    if (u > a + 1)
        return exp(log(from) + log(a) + log(scaled_upper_gamma(a, u)));
    gsl_sf_result q;
    if (gsl_sf_gamma_inc_Q_e(a, u, &q) != GSL_SUCCESS)
        return NAN;
    return exp(weibull.log_eta + gsl_sf_lngamma(1 + a) + log(q.val) + u);
}
