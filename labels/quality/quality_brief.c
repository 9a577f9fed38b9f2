#include "labels/quality/quality_brief.h"

void quality_brief_make(const struct quality *quality, struct quality_brief *brief)
{
    *brief = (struct quality_brief){.pixels_a_module = quality->pixels_a_module,
                                    .modulation = quality->modulation.least,
                                    .margin = quality->margin.least,
                                    .unused = quality->unused.unused,
                                    .axial = quality->axial,
                                    .grid = quality->grid,
                                    .growth = {quality->growth[0], quality->growth[1]},
                                    .contrast = quality->contrast,
                                    .fixed_level = quality->fixed.level,
                                    .streaks = quality->streaks};
}
