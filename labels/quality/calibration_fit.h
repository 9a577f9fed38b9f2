#ifndef LABELS_QUALITY_CALIBRATION_FIT_H
#define LABELS_QUALITY_CALIBRATION_FIT_H

#include <stdbool.h>
#include <stddef.h>

/* Places of a calibration label's plan and where they came out on the label -> where everything came out: an affine map
 * by weighted least squares, places that do not agree left out. Pure. */

enum { FIT_ACROSS, FIT_DOWN, FIT_AXES };
enum { FIT_PLACES = 512 };

/* One thing that was measured along one axis. */
struct fit_place {
    double plan[2]; /* millimetres */
    double came_out;
    double weight; /* 1: a line; less: what is known less well, and never left out */
    bool left_out;
};

struct fit_axis {
    struct fit_place places[FIT_PLACES];
    size_t count;
    double at[3];        /* came out at at[0] + at[1] * plan x + at[2] * plan y */
    double spread[3][3]; /* covariance of these three */
    size_t kept;         /* lines that it goes by: places of weight 1 */
    double scatter;      /* their standard deviation, millimetres */
};

/* Fits; left_out of each place is set anew. False: the places do not say where things came out. */
bool calibration_fit_axis(struct fit_axis *axis);

double calibration_fit_at(const struct fit_axis *axis, double x, double y);
/* Standard error of calibration_fit_at. */
double calibration_fit_error(const struct fit_axis *axis, double x, double y);

#endif
