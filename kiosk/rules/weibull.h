#ifndef KIOSK_RULES_WEIBULL_H
#define KIOSK_RULES_WEIBULL_H

/* The Weibull distribution of lives: P(T > t) = exp(-(t / eta)^beta). The scale comes as its logarithm, since with a
 * small shape it may be beyond what a double holds while the chances are not. Nothing here is NAN for t, more >= 0,
 * beta > 0, finite. Sources: Meeker, Escobar, Statistical Methods for Reliability Data, 1998, ch. 4, from memory. */

struct weibull {
    double log_eta; /* ln of the scale, in hours */
    double beta;    /* shape: below 1 failures get rarer with age, above 1 they get more frequent */
};

struct weibull_span {
    double from_hours, more_hours; /* >= 0: of a unit that has reached the first, the next so many */
};

/* Hours by which a share p has failed, as logarithm; 0 < p < 1. */
double weibull_log_quantile(struct weibull weibull, double p);
double weibull_mean(struct weibull weibull); /* INFINITY: beyond a double */

/* The hazard summed up from `from` to `from + more`: ((from + more) / eta)^beta - (from / eta)^beta, without loss where
 * the two are close. exp(-it) is the chance to last so much more, 1 - exp(-it) the chance to fail in it. */
double weibull_hazard(struct weibull weibull, double from, double more);

/* Mean of the hours left to a unit that has reached `from`. INFINITY: beyond a double. NAN: the special function
 * failed. */
double weibull_mean_remaining(struct weibull weibull, double from);

#endif
