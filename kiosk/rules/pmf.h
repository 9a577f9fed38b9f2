#ifndef KIOSK_RULES_PMF_H
#define KIOSK_RULES_PMF_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/arena.h"

/* Probabilities of whole numbers: cell k is that of k. They stop where less than PMF_TAIL is left; that rest is in the
 * last cell, so that they sum to 1. At least one cell. Cells live in an arena. Functions that make one return false
 * when the arena is full, or more than PMF_CELLS cells or PMF_WORK would be needed. */

struct pmf {
    double *p;
    size_t count;
};

#define PMF_TAIL 1e-12
#define PMF_WORK 2e9 /* products of two chances in one sum; a second or two */
enum { PMF_CELLS = 1 << 20 };

/* By the recursions of the distributions, in logarithms where the first cell would underflow. mean >= 0, and
 * variance > mean for the negative binomial (r = mean p / (1 - p), p = mean / variance). */
bool pmf_poisson(struct arena *arena, double mean, struct pmf *pmf);
bool pmf_negative_binomial(struct arena *arena, double mean, double variance, struct pmf *pmf);
/* r need not be whole; 0 < p <= 1. */
bool pmf_negative_binomial_rp(struct arena *arena, double r, double p, struct pmf *pmf);

/* Of the sum of two independent ones; of `times` of one (0: it is 0). */
bool pmf_convolve(struct arena *arena, const struct pmf *a, const struct pmf *b, struct pmf *sum);
bool pmf_times(struct arena *arena, const struct pmf *one, size_t times, struct pmf *sum);
/* Puts a tail of less than PMF_TAIL into the last cell that stays. */
void pmf_cut_tail(struct pmf *pmf);

double pmf_mean(const struct pmf *pmf);
double pmf_variance(const struct pmf *pmf);
/* P(X <= x); 0 below 0, 1 from the last cell on. */
double pmf_at_most(const struct pmf *pmf, double x);
/* Smallest x with P(X <= x) >= p - 1e-12. */
size_t pmf_quantile(const struct pmf *pmf, double p);
/* E[(X - x)+], the loss; x >= 0 need not be whole. */
double pmf_loss(const struct pmf *pmf, double x);

#endif
