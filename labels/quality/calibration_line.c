#include "labels/quality/calibration_line.h"

#include <math.h>

#include "labels/reading/grey_at.h"

enum { STEPS = 90, PLACES = 13 };
/* Millimetres. Ticks of a ruler are 1 mm apart, and the arms of a corner's mark meet at their ends. */
static const double REACH = 0.45, ENDS = 0.3, WIDER = 0.15;
static const double SEEN = 0.08; /* of the paper's grey: what a line of one dot, blurred, still takes away */
static const double FOOT = 0.3;  /* of its depth: below that is noise */

/* Mean grey along the line, `at` steps across it. */
static double grey_beside(const struct grey *picture, const struct plane *print, const double start[2],
                          const double end[2], bool lies, double off)
{
    double sum = 0;
    for (int i = 0; i < PLACES; i++) {
        const double share = (i + 0.5) / PLACES;
        const double x = start[0] + share * (end[0] - start[0]) + (lies ? 0 : off);
        const double y = start[1] + share * (end[1] - start[1]) + (lies ? off : 0);
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

bool calibration_line_find(const struct grey *picture, const struct plane *print, const struct layout_box *box, int dpi,
                           double *off)
{
    const double mm = 25.4 / dpi, x = box->x * mm, y = box->y * mm, width = box->width * mm, height = box->height * mm;
    const bool lies = width > height;
    const double start[2] = {lies ? x + ENDS : x + width / 2, lies ? y + height / 2 : y + ENDS};
    const double end[2] = {lies ? x + width - ENDS : start[0], lies ? start[1] : y + height - ENDS};
    double depth[STEPS + 1], paper = 0;
    int darkest = 0;
    for (int i = 0; i <= STEPS; i++) {
        depth[i] = grey_beside(picture, print, start, end, lies, ((double)i / STEPS - 0.5) * 2 * REACH);
        paper = fmax(paper, depth[i]);
    }
    for (int i = 0; i <= STEPS; i++) {
        depth[i] = paper - depth[i];
        if (depth[i] > depth[darkest])
            darkest = i;
    }
    if (!(depth[darkest] >= SEEN * paper) || paper <= 0)
        return false;
    const double middle = middle_of(depth, darkest, fmin(width, height) / 2);
    if (isnan(middle))
        return false;
    *off = middle;
    return true;
}
