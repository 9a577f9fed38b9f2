#ifndef LABELS_QUALITY_LEVEL_H
#define LABELS_QUALITY_LEVEL_H

/* Levels 4 (best) to 0 of one measured number each: the steps of ISO/IEC 15415:2011 and, for the fixed pattern, of
 * ISO/IEC 16022, Annex M. They come from published descriptions of both, not from the standards themselves; whether a
 * value on a step of the fixed pattern belongs above or below it is from memory. Pure. */
enum level_kind {
    LEVEL_MODULATION, /* 2 |grey - threshold| / contrast, 0 to 1; the reflectance margin has the same steps */
    LEVEL_AXIAL,      /* difference of the two module pitches as a part of their mean */
    LEVEL_GRID,       /* largest shift of a grid point, modules */
    LEVEL_UNUSED,     /* part of the error correction that is left, 0 to 1 */
    LEVEL_LEG,        /* damaged part of a leg of the L or of its quiet zone, 0 to 1 */
    LEVEL_CLOCK,      /* damaged part of a clock track and what lies beside it, 0 to 1 */
    LEVEL_TRANSITION, /* changes in the track beside it as a part of the clock track's */
    LEVEL_AVERAGE,    /* mean level of the fixed pattern's parts, 0 to 4 */
    LEVEL_KINDS
};

enum { LEVEL_BEST = 4 };

/* NaN is level 0. */
int level_of(enum level_kind kind, double value);

/* The rule that both standards share: each level is tried as a limit, whatever falls below it counts as bad, and the
 * bad leave a level of their own; the level is the best of these, each no better than its limit. `left` answers what
 * the bad leave when everything below `limit` is bad. */
int level_overlay(int (*left)(const void *context, int limit), const void *context);

#endif
