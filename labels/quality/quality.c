#include "labels/quality/quality.h"

#include <math.h>
#include <stdlib.h>

#include "labels/quality/level.h"
#include "labels/quality/measure.h"
#include "labels/reading/candidate.h"

/* What is measured before anything is judged; too large for the stack of a thread. */
struct measured {
    struct module_values values;
    struct module_edges edges;
};

static const char *const names[QUALITY_PARAMETERS] = {
    [QUALITY_DECODE] = "decode",
    [QUALITY_FIXED_PATTERN] = "fixed pattern damage",
    [QUALITY_UNUSED] = "unused error correction",
    [QUALITY_MODULATION] = "modulation",
    [QUALITY_MARGIN] = "reflectance margin",
    [QUALITY_GRID] = "grid non-uniformity",
    [QUALITY_AXIAL] = "axial non-uniformity",
};

const char *quality_parameter_name(enum quality_parameter parameter)
{
    return names[parameter];
}

static void judge_modules(const struct module_values *values, bool inverted, struct quality *quality)
{
    const struct module_contrast contrast = module_values_contrast(values);
    quality->darkest = inverted ? 255 - contrast.light : contrast.dark;
    quality->lightest = inverted ? 255 - contrast.dark : contrast.light;
    quality->contrast = quality->lightest > 0 ? (quality->lightest - quality->darkest) / quality->lightest : 0;
    quality->modulation = codeword_modulation_measure(values, &contrast, false);
    quality->margin = codeword_modulation_measure(values, &contrast, true);
    quality->unused = codeword_unused_measure(values, &contrast);
    fixed_pattern_measure(values, &contrast, &quality->fixed);
    streak_columns_measure(values, &contrast, &quality->streaks);
}

static void judge_edges(const struct module_edges *edges, const double sides[EDGE_AXES], struct quality *quality)
{
    double pitch[EDGE_AXES], growth[EDGE_AXES];
    for (int k = 0; k < EDGE_AXES; k++) {
        quality->growth[k] = module_edges_growth(&edges->axis[k]);
        growth[k] = isnan(quality->growth[k]) ? 0 : quality->growth[k];
        pitch[k] = sides[k] / (edges->axis[k].lines + growth[k]); /* the corners lie where the ink ends */
        quality->growth_pixels[k] = quality->growth[k] * pitch[k];
    }
    quality->pixels_a_module = (pitch[0] + pitch[1]) / 2;
    quality->axial = module_edges_axial(pitch[0], pitch[1]);
    quality->grid = module_edges_deviation(edges, growth);
}

static void set_levels(struct quality *quality)
{
    int *level = quality->level;
    level[QUALITY_DECODE] = LEVEL_BEST; /* it was read */
    level[QUALITY_FIXED_PATTERN] = quality->fixed.level;
    level[QUALITY_UNUSED] = quality->unused.level;
    level[QUALITY_MODULATION] = quality->modulation.level;
    level[QUALITY_MARGIN] = quality->margin.level;
    level[QUALITY_GRID] = isnan(quality->grid) ? QUALITY_UNKNOWN : level_of(LEVEL_GRID, quality->grid);
    level[QUALITY_AXIAL] = level_of(LEVEL_AXIAL, quality->axial);
    quality->worst = QUALITY_DECODE;
    for (enum quality_parameter i = 0; i < QUALITY_PARAMETERS; i++)
        if (level[i] != QUALITY_UNKNOWN && level[i] < level[quality->worst])
            quality->worst = i;
}

bool quality_measure(const struct grey *picture, const struct reader_symbol *symbol, struct quality *quality,
                     struct fault *fault)
{
    struct quad quad;
    double sides[EDGE_AXES];
    const struct symbol_size *size = symbol_size_find(symbol->rows, symbol->columns);
    if (!size || !candidate_place(symbol, &quad))
        return fault_set(fault, FAULT_INPUT, "only a Data Matrix symbol that was read can be judged: read it again");
    struct measured *measured = malloc(sizeof *measured);
    if (!measured)
        return fault_set(fault, FAULT_STORAGE, "no memory to judge a symbol: close something else and try again");
    module_values_want(size, symbol->codewords, &measured->values);
    measure_values(picture, &quad, symbol->inverted, &measured->values);
    measure_edges(picture, &quad, symbol->inverted, &measured->values, &measured->edges);
    measure_sides(&quad, sides);
    judge_modules(&measured->values, symbol->inverted, quality);
    judge_edges(&measured->edges, sides, quality);
    set_levels(quality);
    free(measured);
    return true;
}
