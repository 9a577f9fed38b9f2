#include "labels/quality/calibration_line.h"

#include <math.h>

#include "labels/reading/grey_at.h"

enum { STEPS = 90, PLACES = 13 };
static const double REACH = CALIBRATION_LINE_REACH, WIDER = 0.15; /* millimetres */
static const double SEEN = 0.08; /* of the paper's grey: what a line of one dot, blurred, still takes away */
static const double FOOT = 0.3;  /* of its depth: below that is noise */

/* Mean grey along the line, `off` beside it. */
static double grey_beside(const struct grey *picture, const struct plane *print, const struct calibration_line *line,
                          double off)
{
    double sum = 0;
    for (int i = 0; i < PLACES; i++) {
        const double share = (i + 0.5) / PLACES;
        const double x = line->start[0] + share * (line->end[0] - line->start[0]) + (line->lies ? 0 : off);
        const double y = line->start[1] + share * (line->end[1] - line->start[1]) + (line->lies ? off : 0);
        double place[2];
        plane_place(print, x, y, place);
        sum += grey_at(picture, place[0], place[1]);
    }
    return sum / PLACES;
}

/* The middle of what is darker than the foot, within half the line's width and a blur of the darkest place. */
static double middle_of(const double depth[STEPS + 1], int darkest, double half)
{
    const int beside = (int)ceil((half + WIDER) / (2 * REACH) * STEPS);
    double sum = 0, moment = 0;
    if (darkest - beside < 0 || darkest + beside > STEPS)
        return NAN;
    for (int i = darkest - beside; i <= darkest + beside; i++) {
        const double over = fmax(depth[i] - FOOT * depth[darkest], 0);
        sum += over;
        moment += over * i;
    }
    return (moment / sum / STEPS - 0.5) * 2 * REACH;
}

bool calibration_line_find(const struct grey *picture, const struct plane *print, const struct calibration_line *line,
                           double *off)
{
    double depth[STEPS + 1], paper = 0;
    int darkest = 0;
    for (int i = 0; i <= STEPS; i++) {
        depth[i] = grey_beside(picture, print, line, ((double)i / STEPS - 0.5) * 2 * REACH);
        paper = fmax(paper, depth[i]);
    }
    for (int i = 0; i <= STEPS; i++) {
        depth[i] = paper - depth[i];
        if (depth[i] > depth[darkest])
            darkest = i;
    }
    if (!(depth[darkest] >= SEEN * paper) || paper <= 0)
        return false;
    const double middle = middle_of(depth, darkest, line->half);
    if (isnan(middle))
        return false;
    *off = middle;
    return true;
}
