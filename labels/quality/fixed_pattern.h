#ifndef LABELS_QUALITY_FIXED_PATTERN_H
#define LABELS_QUALITY_FIXED_PATTERN_H

#include <stdbool.h>

#include "labels/quality/module_values.h"

/* Damage to what a reader finds a symbol by, as ISO/IEC 16022, Annex M describes it: the two legs of the L, the quiet
 * zone beside each, and every region's clock tracks, each together with the solid track outside of it (quiet zone, or
 * the neighbouring region's leg). Pure.
 *
 * From memory, not from the standard in hand: that a clock track and the track beside it are counted as one, and that
 * a clock track is regular when no five neighbours hold more than one wrong module. */

enum fixed_part {
    FIXED_LEFT_LEG,
    FIXED_BOTTOM_LEG,
    FIXED_LEFT_QUIET,
    FIXED_BOTTOM_QUIET,
    FIXED_TOP_CLOCK,
    FIXED_RIGHT_CLOCK,
    FIXED_PARTS
};

enum { FIXED_REGIONS = 36 /* of 144x144 */, FIXED_SEGMENTS = 4 + 2 * FIXED_REGIONS };

struct fixed_segment {
    enum fixed_part part;
    int region_row, region_column; /* of a clock track, from the top left; else 0 */
    int modules, wrong;            /* in all, and of the wrong colour */
    int damage_level;              /* by the part that is wrong or pale */
    double transition_ratio;       /* of a clock track, else 0 */
    bool regular;                  /* of a clock track, else true */
    int level;                     /* the lowest of what was looked at */
};

struct fixed_pattern {
    struct fixed_segment segments[FIXED_SEGMENTS]; /* in the order of enum fixed_part, clock tracks region by region */
    int count;
    double average; /* mean of the legs', the quiet zones' and the poorest clock track's levels */
    int average_level;
    int level; /* the lowest of all segments and of average_level */
    int worst; /* index of the first lowest segment */
};

/* Changes beside a clock track for each of the clock track's own; one of them is forgiven. No change in the clock
 * track at all gives a ratio that is level 0. */
double fixed_pattern_transition_ratio(int clock_changes, int beside_changes);
/* `wrong`: a byte a module of the clock track. */
bool fixed_pattern_regular(const uint8_t *wrong, int length);
/* Sets average, average_level, level and worst from the segments. */
void fixed_pattern_sum_up(struct fixed_pattern *pattern);

void fixed_pattern_measure(const struct module_values *values, const struct module_contrast *contrast,
                           struct fixed_pattern *pattern);

#endif
