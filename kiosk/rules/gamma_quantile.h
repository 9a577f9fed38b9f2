#ifndef KIOSK_RULES_GAMMA_QUANTILE_H
#define KIOSK_RULES_GAMMA_QUANTILE_H

/* Quantiles of the gamma distribution of shape a and scale 1 (half of those of chi-square with 2a degrees of freedom),
 * by halving a bracket on GSL's incomplete gamma functions. GSL 2.7's own gsl_cdf_gamma_Pinv and Qinv are not used:
 * they do not converge for small shapes, and for shapes from about 20 000 on they return values that are a third off,
 * without a status (seen against R's qgamma). Pure. */

enum gamma_tail { GAMMA_BELOW, GAMMA_ABOVE };

/* ln x, where the chance to be below (or above) x is p; a > 0, 0 < p < 1. As logarithm, for with a small shape x itself
 * may underflow. NAN: the special function failed. */
double gamma_log_quantile(double a, double p, enum gamma_tail tail);

#endif
