#include "labels/quality/streak.h"

#include <math.h>

double streak_binomial_tail(size_t n, double q, size_t k)
{
    double sum = 0;
    if (k == 0 || q >= 1)
        return k <= n ? 1 : 0;
    if (q <= 0)
        return 0;
    for (size_t i = k; i <= n; i++)
        sum += exp(lgamma((double)n + 1) - lgamma((double)i + 1) - lgamma((double)(n - i) + 1) + (double)i * log(q) +
                   (double)(n - i) * log1p(-q));
    return fmin(sum, 1);
}

static bool passed(const struct streak_label *label, double at_mm)
{
    return at_mm >= label->from_mm && at_mm <= label->to_mm;
}

/* The label's mark nearest to the place; NaN when none is in reach. */
static double mark_near(const struct streak_label *label, double at_mm)
{
    double best = NAN;
    for (size_t i = 0; i < label->count; i++)
        if (fabs(label->at_mm[i] - at_mm) <= STREAK_REACH_MM &&
            (isnan(best) || fabs(label->at_mm[i] - at_mm) < fabs(best - at_mm)))
            best = label->at_mm[i];
    return best;
}

/* That one of its marks, were they anywhere, is in reach of a place. */
static double chance_of(const struct streak_label *label)
{
    const double part = fmin(2 * STREAK_REACH_MM / (label->to_mm - label->from_mm), 1);
    return 1 - pow(1 - part, (double)label->count);
}

/* Bound of the chance of so many hits, at one place. 1 where the bound does not hold. */
static double bound(size_t others, double q_sum, size_t hits)
{
    if (others == 0 || (double)hits < q_sum + 1)
        return 1;
    return streak_binomial_tail(others, q_sum / (double)others, hits);
}

/* What the labels say of the place that a mark of label `own` names. */
static struct streak weigh(const struct streak_label *labels, size_t count, size_t own, double at_mm)
{
    struct streak streak = {.found = false};
    double sum = 0, q_sum = 0;
    bool recent = false;
    for (size_t i = 0; i < count; i++) {
        if (!passed(&labels[i], at_mm))
            continue;
        const double near = mark_near(&labels[i], at_mm);
        recent = recent || (!isnan(near) && streak.passed < STREAK_NEWEST);
        streak.passed++;
        if (i != own)
            q_sum += chance_of(&labels[i]);
        if (!isnan(near)) {
            streak.shown++;
            sum += near;
        }
    }
    if (streak.shown < 2) /* its own, and no other's */
        return streak;
    streak.at_mm = sum / (double)streak.shown;
    streak.chance = bound(streak.passed - 1, q_sum, streak.shown - 1);
    streak.found = recent;
    return streak;
}

struct streak streak_find(const struct streak_label *labels, size_t count)
{
    struct streak best = {.found = false};
    size_t places = 0;
    count = count < STREAK_LABELS ? count : STREAK_LABELS;
    for (size_t i = 0; i < count; i++) {
        places += labels[i].count;
        for (size_t k = 0; k < labels[i].count; k++) {
            const struct streak streak = weigh(labels, count, i, labels[i].at_mm[k]);
            if (streak.found && (!best.found || streak.chance < best.chance))
                best = streak;
        }
    }
    best.chance = fmin(best.chance * (double)places, 1);
    best.found = best.found && best.chance < STREAK_CHANCE;
    return best;
}
