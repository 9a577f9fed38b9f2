#include "kiosk/rules/log_rank.h"

#include <math.h>

struct tally {
    size_t groups;
    double *at_risk, *events; /* of each group, now */
    double *difference;       /* events less those expected, summed up */
    double *covariance;       /* groups by groups */
};

/* One time: `n` at risk, `d` of them with their event. */
static void add_time(struct tally *tally, double n, double d)
{
    const double spread = n > 1 ? d * (n - d) / (n - 1) : 0;
    for (size_t g = 0; g < tally->groups; g++) {
        const double share = tally->at_risk[g] / n;
        tally->difference[g] += tally->events[g] - d * share;
        for (size_t k = 0; k < tally->groups; k++)
            tally->covariance[g * tally->groups + k] += spread * share * ((g == k) - tally->at_risk[k] / n);
    }
}

/* x' C^- x by elimination, the largest pivot first. The differences sum to 0, so that one pivot at least comes out as 0
 * but for rounding; where all that is left is such, the rest says nothing new. Both matrices are used up. */
static double quadratic_form(struct tally *tally)
{
    const double smallest = 1e-10; /* of the first pivot */
    const size_t groups = tally->groups;
    double *c = tally->covariance, *x = tally->difference, first = 0, sum = NAN;
    for (size_t step = 0; step + 1 < groups; step++) {
        size_t p = 0;
        for (size_t g = 1; g < groups; g++)
            if (c[g * groups + g] > c[p * groups + p])
                p = g;
        const double pivot = c[p * groups + p];
        first = step == 0 ? pivot : first;
        if (!(pivot > smallest * first))
            break;
        sum = (step == 0 ? 0 : sum) + x[p] * x[p] / pivot;
        for (size_t g = 0; g < groups; g++) {
            const double factor = c[g * groups + p] / pivot;
            if (g == p || factor == 0)
                continue;
            x[g] -= factor * x[p];
            for (size_t k = 0; k < groups; k++)
                if (k != p)
                    c[g * groups + k] -= factor * c[p * groups + k];
        }
        for (size_t g = 0; g < groups; g++)
            c[g * groups + p] = c[p * groups + g] = 0;
    }
    return sum;
}

bool log_rank(const struct log_rank_unit *units, size_t count, size_t groups, struct arena *arena, double *chi2)
{
    struct tally tally = {groups, arena_take(arena, groups, sizeof(double)), arena_take(arena, groups, sizeof(double)),
                          arena_take(arena, groups, sizeof(double)),
                          arena_take(arena, groups * groups, sizeof(double))};
    if (!tally.at_risk || !tally.events || !tally.difference || !tally.covariance)
        return false;
    for (size_t i = 0; i < count; i++)
        tally.at_risk[units[i].group]++;
    for (size_t start = 0, end = 0; start < count; start = end) {
        double d = 0;
        for (size_t g = 0; g < groups; g++)
            tally.events[g] = 0;
        for (; end < count && units[end].hours == units[start].hours; end++) {
            d += units[end].event;
            tally.events[units[end].group] += units[end].event;
        }
        if (d > 0)
            add_time(&tally, (double)(count - start), d);
        for (size_t i = start; i < end; i++)
            tally.at_risk[units[i].group]--;
    }
    *chi2 = quadratic_form(&tally);
    return true;
}
