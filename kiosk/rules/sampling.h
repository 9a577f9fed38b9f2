#ifndef KIOSK_RULES_SAMPLING_H
#define KIOSK_RULES_SAMPLING_H

#include <stdint.h>

/* What a count of some records says of all of them: chances of how many wrong ones are among those counted.
 *
 * One cell is computed by its distance from the mean (Loader, "Fast and accurate computation of binomial
 * probabilities", 2000), which keeps some 13 digits where logarithms of factorials have none left; the cells beside it
 * follow by their ratio until they no longer count. That takes a multiple of the standard deviation steps, so that
 * 10^12 records are answered in seconds. Pure. */

#define SAMPLING_MOST       INT64_C(1000000000000)    /* records, of all functions but where another is named */
#define SAMPLING_MOST_DRAWS INT64_C(9007199254740992) /* of an endless list; 2^53, the last a double counts to */

/* P(X <= most) for `draws` records of an endless list of which the part `wrong` (0 to 1) is wrong. draws up to
 * SAMPLING_MOST_DRAWS, `most` up to SAMPLING_MOST unless it is draws. */
double sampling_binomial_at_most(int64_t draws, double wrong, int64_t most);

/* P(X <= most) for `draws` records, none twice, of a list of `all` of which `wrong` are wrong. */
double sampling_hypergeometric_at_most(int64_t all, int64_t wrong, int64_t draws, int64_t most);

/* Clopper and Pearson, Biometrika 26, 1934, 404: the least and the greatest share of good records under which `good` of
 * `draws` (1 or more) would not be rarer than `risk` (0 < risk < 1). 0 when none was good, 1 when all were. */
double sampling_lower_limit(int64_t draws, int64_t good, double risk);
double sampling_upper_limit(int64_t draws, int64_t good, double risk);

#endif
