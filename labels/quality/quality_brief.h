#ifndef LABELS_QUALITY_QUALITY_BRIEF_H
#define LABELS_QUALITY_QUALITY_BRIEF_H

#include "labels/quality/quality.h"

/* The numbers of one symbol that are worth keeping, to see a printer change: what goes from the picture worker to the
 * kiosk and into its ledger. As in struct quality, NaN: could not be measured. Pure. */

struct quality_brief {
    double pixels_a_module;
    double modulation, margin; /* the poorest codeword's */
    double unused;
    double axial, grid;
    double growth[EDGE_AXES];
    double contrast;
    int fixed_level; /* 0 to 4 */
    struct streak_columns streaks;
};

void quality_brief_make(const struct quality *quality, struct quality_brief *brief);

#endif
