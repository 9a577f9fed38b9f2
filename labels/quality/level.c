#include "labels/quality/level.h"

#include <stdbool.h>

/* So that 1 - 2 * 5 / 20 and the like lie on their step, not a rounding beside it. */
static const double ON_STEP = 1e-9;

static const struct steps {
    bool more_is_better, step_is_worse;
    double step[LEVEL_BEST]; /* of levels 4, 3, 2, 1 */
} steps[] = {
    [LEVEL_MODULATION] = {true, false, {0.50, 0.40, 0.30, 0.20}},
    [LEVEL_AXIAL] = {false, false, {0.06, 0.08, 0.10, 0.12}},
    [LEVEL_GRID] = {false, false, {0.38, 0.50, 0.63, 0.75}},
    [LEVEL_UNUSED] = {true, false, {0.62, 0.50, 0.37, 0.25}},
    [LEVEL_LEG] = {false, false, {0.00, 0.09, 0.13, 0.17}},
    [LEVEL_CLOCK] = {false, true, {0.10, 0.15, 0.20, 0.25}},
    [LEVEL_TRANSITION] = {false, true, {0.06, 0.08, 0.10, 0.12}},
    [LEVEL_AVERAGE] = {true, false, {4.0, 3.5, 3.0, 2.5}},
};
_Static_assert(sizeof steps / sizeof *steps == LEVEL_KINDS, "each kind has its steps");

static bool reaches(const struct steps *kind, double value, double step)
{
    if (kind->more_is_better)
        return value >= step - ON_STEP;
    return kind->step_is_worse ? value < step - ON_STEP : value <= step + ON_STEP;
}

int level_of(enum level_kind kind, double value)
{
    for (int i = 0; i < LEVEL_BEST; i++)
        if (reaches(&steps[kind], value, steps[kind].step[i]))
            return LEVEL_BEST - i;
    return 0;
}

int level_overlay(int (*left)(const void *context, int limit), const void *context)
{
    int best = 0;
    for (int limit = LEVEL_BEST; limit > best; limit--) {
        const int level = left(context, limit);
        best = level > limit ? limit : level > best ? level : best;
    }
    return best;
}
