#ifndef KIOSK_RULES_DEMAND_HISTORY_H
#define KIOSK_RULES_DEMAND_HISTORY_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/rule.h"

/* What a series of demand has taught up to now. Fed period by period, it holds all that the classes of demand and every
 * method of forecasting need, so that a forecast can be read off at any point of a history in one pass over it. Periods
 * without stock say nothing of demand and are not fed. N below is the number of periods, n that of those with demand.
 *
 * Simple exponential smoothing (Brown 1959); Croston, Operational Research Quarterly 23, 1972, 289-303; SBA: Syntetos
 * and Boylan, International Journal of Forecasting 21, 2005, 303-314; SBJ: Shale, Boylan, Johnston, Journal of the
 * Operational Research Society 57, 2006, 588-592 (factor from memory); TSB: Teunter, Syntetos, Babai, European Journal
 * of Operational Research 214, 2011, 606-615. */

enum { DEMAND_NEW_ITEM = 6 }; /* periods; an item with fewer is new. Common practice, no source. */

struct demand_series {
    const double *demand; /* of a period each, >= 0, oldest first */
    size_t count;
};

struct demand_history {
    double alpha, beta;      /* smoothing: alpha of sizes and levels, beta of intervals and chances; 0 < both <= 1 */
    size_t periods, nonzero; /* N, n */
    size_t first, latest;    /* number of the first and of the latest period with demand; the oldest period is 1 */
    double sum, last;        /* of all demand; of the last period */
    double size_mean, size_squares; /* of the sizes above 0: their mean, and the squares of their distances from it */
    double level;                   /* SES */
    double size, interval;          /* Croston's q and a; TSB's z is the same as q */
    double probability;             /* TSB: that a period has demand */
};

void demand_history_start(struct demand_history *history, double alpha, double beta);
void demand_history_see(struct demand_history *history, double demand); /* of the next period, >= 0 */
/* All of a series from the start. False: its numbers are too large (RULE_RANGE of "demand"). */
bool demand_history_of(const struct demand_series *series, double alpha, double beta, struct demand_history *history,
                       struct rule_fault *fault);

/* Of all periods, those without demand too; over N - 1, of two periods at least. */
double demand_history_variance(const struct demand_history *history);

/* --- how often, and how unlike in size --- */

/* Average interval between periods with demand: N / n; or the mean of the intervals, of which the first is counted from
 * before the series began; or without that one. */
enum demand_adi { DEMAND_ADI_PERIODS, DEMAND_ADI_MEAN_INTERVAL, DEMAND_ADI_AFTER_FIRST };
double demand_history_adi(const struct demand_history *history, enum demand_adi kind); /* RULE_NULL: too few */
/* Squared coefficient of variation of the sizes above 0; the variance over n - 1, or over n. RULE_NULL: too few. */
double demand_history_cv2(const struct demand_history *history, bool over_n);

/* Syntetos, Boylan, Croston, Journal of the Operational Research Society 56, 2005, 495-503: intermittent from an
 * interval of 1.32 on, unlike in size from 0.49 on. */
enum demand_class { DEMAND_SMOOTH, DEMAND_INTERMITTENT, DEMAND_ERRATIC, DEMAND_LUMPY, DEMAND_CLASS_NULL };
enum demand_class demand_class_of(double adi, double cv2); /* DEMAND_CLASS_NULL when one is null */

/* --- forecasts --- */

enum forecast_method {
    FORECAST_AUTO, /* whichever demand_history_choose says */
    FORECAST_SES,
    FORECAST_CROSTON,
    FORECAST_SBA,
    FORECAST_SBJ,
    FORECAST_TSB,
    FORECAST_GAMMA_POISSON,
    FORECAST_LAST, /* demand of the last period; this and the mean are what the others must beat */
    FORECAST_MEAN,
    FORECAST_METHODS
};
extern const char *const forecast_method_words[FORECAST_METHODS + 1]; /* "auto", "ses", …; ended with NULL */

/* Demand per period as known before there was any: `a` pieces in `b` periods, as if seen already. Both > 0. */
struct forecast_prior {
    double a, b;
};

/* For an item nobody chose a method for: TSB when it is phased out; else Gamma-Poisson while it is new or n < 2; else
 * SES when demand is smooth and SBA when it is not. FORECAST_AUTO when N is 0. */
enum forecast_method demand_history_choose(const struct demand_history *history, bool phased_out);
/* N or n that the method needs, and whether it is n. */
size_t forecast_needs(enum forecast_method method, bool *nonzero);
/* Per period. RULE_NULL: the history is too short for the method. */
double demand_history_forecast(const struct demand_history *history, enum forecast_method method,
                               const struct forecast_prior *prior);

#endif
