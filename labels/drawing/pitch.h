#ifndef LABELS_DRAWING_PITCH_H
#define LABELS_DRAWING_PITCH_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* How far apart a printer's dots really are. A printer that prints long or short is met here, where lengths become
 * dots, and nowhere else: a raster is never scaled, and a module stays whole dots. Pure. */

enum pitch_axis { PITCH_ACROSS, PITCH_DOWN }; /* across the head; along the feed */

enum {
    PITCH_ONE = 100000,    /* a size of 1: dots come out as `dpi` says */
    PITCH_OFF_MOST = 5000, /* no printer is farther off: another line was measured, or the roll is another */
    PITCH_AXES = 2
};

struct pitch {
    int dpi;              /* what the raster says: nominal, both ways */
    int size[PITCH_AXES]; /* how long PITCH_ONE comes out; within PITCH_OFF_MOST of it */
};

struct pitch pitch_nominal(int dpi);

/* False: FAULT_INPUT, a resolution or size outside the limits. */
bool pitch_check(const struct pitch *pitch, struct fault *fault);

/* A length on paper in micrometres as dots, to the nearest: the rounding of every size on a label. */
int pitch_dots(const struct pitch *pitch, enum pitch_axis axis, int um);
/* The same, down and up to whole dots: what lies inside a room, and what a least size asks for. */
int pitch_before(const struct pitch *pitch, enum pitch_axis axis, int um);
int pitch_after(const struct pitch *pitch, enum pitch_axis axis, int um);
/* The same for something as wide as high in dots: no shorter than `um` either way. */
int pitch_after_both(const struct pitch *pitch, int um);

/* The largest least size that `module` dots still meet both ways: for template_raise_modules. */
int pitch_module_um(const struct pitch *pitch, int module);

double pitch_mm(const struct pitch *pitch, enum pitch_axis axis, double dots); /* dots as a length on paper */

#endif
