#ifndef KIOSK_RULES_DEMAND_CLASS_H
#define KIOSK_RULES_DEMAND_CLASS_H

#include <stddef.h>

#include "kiosk/rules/demand_history.h"

/* What kind of demand an item has: how far apart the periods with demand are, and how unlike in size. Four classes
 * (demand_history.h), and which of two estimators suits: SBA above the line cv2 = 2 - 1.5 adi, Croston's own on it and
 * below (Kostenko and Hyndman, Journal of the Operational Research Society 57, 2006, 1256-1257). */

struct demand_class_case {
    struct demand_series series;
    enum demand_adi adi;
    bool cv2_over_n;
};

struct demand_class_answer {
    struct rule_said said;
    size_t periods, nonzero; /* N, n */
    double mean;             /* per period; RULE_NULL here and below: too few periods, said by key */
    double adi, cv2;
    enum demand_class class;
    enum forecast_method estimator; /* FORECAST_SBA or FORECAST_CROSTON; of no meaning while `class` is null */
};

bool demand_class(const struct demand_class_case *asked, struct arena *arena, struct demand_class_answer *answer,
                  struct rule_fault *fault);
const char *demand_class_word(enum demand_class class); /* "smooth", …; NULL for DEMAND_CLASS_NULL */

#endif
