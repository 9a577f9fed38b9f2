#ifndef LABELS_QUALITY_STREAK_COLUMNS_H
#define LABELS_QUALITY_STREAK_COLUMNS_H

#include <stddef.h>

#include "labels/quality/module_values.h"

/* Columns of one symbol whose ink is paler from top to bottom than its neighbours': what a dead or dirty dot of the
 * print head leaves when the label runs under the head from top to bottom. A module is compared with modules that have
 * as many light neighbours, because blur lightens lonely ones; a column with the columns beside it, because light falls
 * unevenly. Specks, scratches across and whole faint symbols mark no column. Our own measure, no standard's. Pure. */

enum { STREAK_MARKS = 12 /* a symbol with more is damaged all over; the rest is left out */ };

struct streak_mark {
    double at;   /* modules from the symbol's left edge to the middle of the pale column or columns */
    double pale; /* how much lighter its ink is, part of the contrast, 0 to 1 */
};

struct streak_columns {
    size_t count;
    struct streak_mark marks[STREAK_MARKS]; /* from the left */
};

void streak_columns_measure(const struct module_values *values, const struct module_contrast *contrast,
                            struct streak_columns *columns);

#endif
