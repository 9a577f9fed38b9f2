#include "kiosk/rules/demand_history.h"

#include <assert.h>
#include <math.h>

#define INTERMITTENT_FROM 1.32
#define UNLIKE_FROM       0.49

const char *const forecast_method_words[FORECAST_METHODS + 1] = {"auto", "ses",           "croston", "sba",  "sbj",
                                                                 "tsb",  "gamma-poisson", "last",    "mean", NULL};

void demand_history_start(struct demand_history *history, double alpha, double beta)
{
    assert(alpha > 0 && alpha <= 1 && beta > 0 && beta <= 1);
    *history = (struct demand_history){.alpha = alpha, .beta = beta};
}

/* Mean and squares as Welford, Technometrics 4, 1962, 419-420: no difference of large sums. */
static void see_size(struct demand_history *history, double demand)
{
    const double period = (double)history->periods, off = demand - history->size_mean;
    history->nonzero++;
    history->size_mean += off / (double)history->nonzero;
    history->size_squares += off * (demand - history->size_mean);
    if (history->nonzero == 1) {
        history->first = history->periods;
        history->size = demand;
        history->interval = period;
        history->probability = 1 / period;
    } else {
        history->size += history->alpha * (demand - history->size);
        history->interval += history->beta * (period - (double)history->latest - history->interval);
        history->probability += history->beta * (1 - history->probability);
    }
    history->latest = history->periods;
}

void demand_history_see(struct demand_history *history, double demand)
{
    history->periods++;
    history->sum += demand;
    history->last = demand;
    history->level = history->periods == 1 ? demand : history->level + history->alpha * (demand - history->level);
    if (demand > 0)
        see_size(history, demand);
    else
        history->probability -= history->beta * history->probability;
}

bool demand_history_of(const struct demand_series *series, double alpha, double beta, struct demand_history *history,
                       struct rule_fault *fault)
{
    demand_history_start(history, alpha, beta);
    for (size_t i = 0; i < series->count; i++)
        demand_history_see(history, series->demand[i]);
    if (!isfinite(history->sum) || !isfinite(history->size_squares))
        return rule_fault_set(fault, RULE_RANGE, "demand",
                              "the numbers of 'demand' are too large to be computed with: use a larger unit");
    return true;
}

/* The periods without demand put together with the others: squares within them 0, and between the two groups. */
double demand_history_variance(const struct demand_history *history)
{
    const double all = (double)history->periods, some = (double)history->nonzero, mean = history->size_mean;
    assert(history->periods > 1);
    return (history->size_squares + mean * mean * some * (all - some) / all) / (all - 1);
}

double demand_history_adi(const struct demand_history *history, enum demand_adi kind)
{
    const double nonzero = (double)history->nonzero;
    switch (kind) {
    case DEMAND_ADI_PERIODS:
        return nonzero > 0 ? (double)history->periods / nonzero : RULE_NULL;
    case DEMAND_ADI_MEAN_INTERVAL:
        return nonzero > 0 ? (double)history->latest / nonzero : RULE_NULL;
    case DEMAND_ADI_AFTER_FIRST:
        return nonzero > 1 ? (double)(history->latest - history->first) / (nonzero - 1) : RULE_NULL;
    }
    return RULE_NULL;
}

double demand_history_cv2(const struct demand_history *history, bool over_n)
{
    const double nonzero = (double)history->nonzero, divisor = over_n ? nonzero : nonzero - 1;
    return divisor > 0 ? history->size_squares / divisor / history->size_mean / history->size_mean : RULE_NULL;
}

enum demand_class demand_class_of(double adi, double cv2)
{
    if (rule_is_null(adi) || rule_is_null(cv2))
        return DEMAND_CLASS_NULL;
    if (adi >= INTERMITTENT_FROM - RULE_SLACK)
        return cv2 >= UNLIKE_FROM - RULE_SLACK ? DEMAND_LUMPY : DEMAND_INTERMITTENT;
    return cv2 >= UNLIKE_FROM - RULE_SLACK ? DEMAND_ERRATIC : DEMAND_SMOOTH;
}

enum forecast_method demand_history_choose(const struct demand_history *history, bool phased_out)
{
    if (history->periods == 0)
        return FORECAST_AUTO;
    if (phased_out && history->nonzero > 0)
        return FORECAST_TSB;
    if (history->periods < DEMAND_NEW_ITEM || history->nonzero < 2)
        return FORECAST_GAMMA_POISSON;
    const double adi = demand_history_adi(history, DEMAND_ADI_PERIODS);
    return demand_class_of(adi, demand_history_cv2(history, false)) == DEMAND_SMOOTH ? FORECAST_SES : FORECAST_SBA;
}

size_t forecast_needs(enum forecast_method method, bool *nonzero)
{
    const bool croston = method == FORECAST_CROSTON || method == FORECAST_SBA || method == FORECAST_SBJ;
    *nonzero = croston || method == FORECAST_TSB;
    return croston ? 2 : 1;
}

double demand_history_forecast(const struct demand_history *history, enum forecast_method method,
                               const struct forecast_prior *prior)
{
    bool nonzero = false;
    const size_t needs = forecast_needs(method, &nonzero);
    if ((nonzero ? history->nonzero : history->periods) < needs)
        return RULE_NULL;
    switch (method) {
    case FORECAST_AUTO:
        return demand_history_forecast(history, demand_history_choose(history, false), prior);
    case FORECAST_SES:
        return history->level;
    case FORECAST_CROSTON:
        return history->size / history->interval;
    case FORECAST_SBA:
        return (1 - history->beta / 2) * history->size / history->interval;
    case FORECAST_SBJ:
        return (1 - history->beta / (2 - history->beta)) * history->size / history->interval;
    case FORECAST_TSB:
        return history->probability * history->size;
    case FORECAST_GAMMA_POISSON:
        return (prior->a + history->sum) / (prior->b + (double)history->periods);
    case FORECAST_LAST:
        return history->last;
    case FORECAST_MEAN:
        return history->sum / (double)history->periods;
    case FORECAST_METHODS:
        break;
    }
    return RULE_NULL;
}
