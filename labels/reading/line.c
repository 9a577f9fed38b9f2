#include "labels/reading/line.h"

#include <math.h>

bool line_meet(const struct line *a, const struct line *b, double out[2])
{
    const double below = a->along[0] * b->along[1] - a->along[1] * b->along[0];
    if (fabs(below) < 0.3)
        return false;
    const double t = ((b->at[0] - a->at[0]) * b->along[1] - (b->at[1] - a->at[1]) * b->along[0]) / below;
    out[0] = a->at[0] + t * a->along[0];
    out[1] = a->at[1] + t * a->along[1];
    return true;
}
