#include "kiosk/rules/survival_curve.h"

#include <string.h>

#include <gsl/gsl_cdf.h>

static int compare_hours(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b; /* a unit starts with its hours */
    return (one > two) - (one < two);
}

static bool sort_units(struct survival_curve *curve, struct arena *arena)
{
    const struct survival_case *asked = curve->asked;
    const size_t count = asked->unit_count;
    curve->units = arena_take(arena, count, sizeof *curve->units);
    curve->entries = asked->entry_hours ? arena_take(arena, count, sizeof *curve->entries) : NULL;
    if (!curve->units || (asked->entry_hours && !curve->entries))
        return false;
    for (size_t i = 0; i < count; i++)
        curve->units[i] = (struct survival_unit){asked->hours[i], i};
    if (!rule_sort(arena, curve->units, count, sizeof *curve->units, compare_hours))
        return false;
    if (curve->entries) {
        memcpy(curve->entries, asked->entry_hours, count * sizeof *curve->entries);
        if (!rule_sort(arena, curve->entries, count, sizeof *curve->entries, compare_hours))
            return false;
    }
    curve->last = curve->units[count - 1].hours;
    return true;
}

static double clip(double share)
{
    return fmax(0, fmin(1, share));
}

/* `spread` is Greenwood's sum of d / (n (n - d)), the variance of ln S; `z` the normal quantile. */
static void set_limits(struct survival_step *step, double spread, double z, enum survival_interval interval)
{
    const double s = step->survival, reach = z * sqrt(spread);
    if (!(s > 0)) {
        step->se = step->lower = step->upper = RULE_NULL;
        return;
    }
    step->se = s * sqrt(spread);
    switch (interval) {
    case SURVIVAL_LOG_LOG:
        step->lower = clip(exp(log(s) * exp(-reach / log(s))));
        step->upper = clip(exp(log(s) * exp(reach / log(s))));
        break;
    case SURVIVAL_LOG:
        step->lower = clip(s * exp(-reach));
        step->upper = clip(s * exp(reach));
        break;
    case SURVIVAL_PLAIN:
        step->lower = clip(s - reach * s);
        step->upper = clip(s + reach * s);
        break;
    }
}

static bool draw(struct survival_curve *curve, struct arena *arena)
{
    const struct survival_case *asked = curve->asked;
    const size_t count = asked->unit_count;
    const double z = gsl_cdf_ugaussian_Qinv((1 - asked->confidence) / 2);
    double s = 1, spread = 0;
    size_t entered = 0;
    curve->steps = arena_take(arena, count, sizeof *curve->steps);
    if (!curve->steps)
        return false;
    for (size_t start = 0, end = 0; start < count; start = end) {
        const double hours = curve->units[start].hours;
        size_t events = 0;
        for (; end < count && curve->units[end].hours == hours; end++)
            events += asked->events[curve->units[end].index];
        if (events == 0)
            continue;
        while (curve->entries && entered < count && curve->entries[entered] < hours)
            entered++;
        const size_t at_risk = (curve->entries ? entered : count) - start;
        const double n = (double)at_risk, d = (double)events;
        struct survival_step *step = &curve->steps[curve->step_count++];
        s *= 1 - d / n;
        spread += d / (n * (n - d)); /* endless with the last unit, where S is 0 and has no limits */
        *step = (struct survival_step){.hours = hours, .at_risk = at_risk, .events = events, .survival = s};
        set_limits(step, spread, z, asked->interval);
        curve->event_count += events;
    }
    return true;
}

bool survival_curve_draw(const struct survival_case *asked, struct arena *arena, struct survival_curve *curve)
{
    *curve = (struct survival_curve){.asked = asked};
    return sort_units(curve, arena) && draw(curve, arena);
}

size_t survival_curve_steps(const struct survival_curve *curve, double hours)
{
    size_t low = 0, high = curve->step_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (curve->steps[middle].hours <= hours)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

double survival_curve_after(const struct survival_curve *curve, size_t steps)
{
    return steps > 0 ? curve->steps[steps - 1].survival : 1;
}

size_t survival_curve_falls_to(const struct survival_curve *curve, double share)
{
    size_t low = 0, high = curve->step_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (curve->steps[middle].survival > share + RULE_PROBABILITY_SLACK)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

bool survival_curve_is_known(const struct survival_curve *curve, double hours)
{
    return hours <= curve->last || survival_curve_after(curve, curve->step_count) == 0;
}
