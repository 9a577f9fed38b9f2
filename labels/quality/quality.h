#ifndef LABELS_QUALITY_QUALITY_H
#define LABELS_QUALITY_QUALITY_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/quality/codeword_quality.h"
#include "labels/quality/fixed_pattern.h"
#include "labels/quality/module_edges.h"
#include "labels/quality/module_values.h"
#include "labels/quality/streak_columns.h"
#include "labels/reading/reader.h"

/* How well a symbol is printed, as far as an uncalibrated camera can tell: the parameters of ISO/IEC 15415:2011 for
 * two-dimensional symbols, estimated from one picture. Each has a measured value and a level, 4 best to 0. What may be
 * said of it in words is QUALITY_WORDING, and no more: no certificate, no letter, no claim that a standard is met.
 * Greys are taken as the picture has them, so contrast is known only relative to the picture's own lightest module and
 * has no level. Print growth has none in this edition. */

#define QUALITY_WORDING "process-control estimate, ISO/IEC 15415-style, uncalibrated"
#define QUALITY_EDITION "ISO/IEC 15415:2011 method"

/* Those that have a level; of equal ones the first is called the worst, for it says most about the cause. */
enum quality_parameter {
    QUALITY_DECODE,
    QUALITY_FIXED_PATTERN,
    QUALITY_UNUSED,
    QUALITY_MODULATION,
    QUALITY_MARGIN,
    QUALITY_GRID,
    QUALITY_AXIAL,
    QUALITY_PARAMETERS
};

enum { QUALITY_UNKNOWN = -1 /* level of what could not be measured */, QUALITY_LEAST_PIXELS = 5 /* a module */ };

struct quality {
    double pixels_a_module;   /* mean of both directions */
    double darkest, lightest; /* modules, quiet zone included: greys as the picture has them */
    double contrast;          /* (lightest - darkest) / lightest, 0 to 1 */
    struct codeword_modulation modulation, margin;
    struct codeword_unused_now unused;
    struct fixed_pattern fixed;
    struct streak_columns streaks;   /* pale columns, which a print head may leave */
    double axial, grid;              /* grid in modules, NaN when unknown */
    double growth[EDGE_AXES];        /* across and down the upright symbol, modules; NaN when unknown */
    double growth_pixels[EDGE_AXES]; /* likewise in pixels */
    int level[QUALITY_PARAMETERS];   /* 0 to 4, or QUALITY_UNKNOWN */
    enum quality_parameter worst;    /* the lowest known level's; QUALITY_DECODE: all are at 4 */
};

/* Of a symbol that was read from this picture. False: FAULT_INPUT when it is no Data Matrix symbol or its corners
 * make no figure, FAULT_STORAGE without memory (about half a megabyte while it runs). */
bool quality_measure(const struct grey *picture, const struct reader_symbol *symbol, struct quality *quality,
                     struct fault *fault);

/* "modulation", "fixed pattern damage", … Never NULL. */
const char *quality_parameter_name(enum quality_parameter parameter);

#endif
