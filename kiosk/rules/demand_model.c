#include "kiosk/rules/demand_model.h"

#include <assert.h>
#include <math.h>

double demand_mean(const struct demand_model *model)
{
    return model->kind == DEMAND_PMF ? pmf_mean(&model->pmf) : model->mean;
}

static bool make(const struct demand_model *model, double periods, double extra, struct arena *arena, struct pmf *pmf)
{
    const double mean = model->mean * periods, variance = model->variance * periods + extra;
    switch (model->kind) {
    case DEMAND_PMF:
        return pmf_times(arena, &model->pmf, (size_t)periods, pmf);
    case DEMAND_NEGATIVE_BINOMIAL:
        if (mean > 0 && variance > mean)
            return pmf_negative_binomial(arena, mean, variance, pmf);
        return pmf_poisson(arena, mean, pmf);
    case DEMAND_POISSON:
        return pmf_poisson(arena, mean, pmf);
    case DEMAND_NONE:
    case DEMAND_NORMAL:
        break;
    }
    assert(false);
    return false;
}

bool demand_over(const struct demand_model *model, double periods, double extra, const char *key, struct arena *arena,
                 struct pmf *pmf, struct rule_fault *fault)
{
    assert(periods >= 0 && extra >= 0);
    if (model->kind == DEMAND_PMF && (periods != floor(periods) || periods > PMF_CELLS))
        return rule_fault_set(fault, RULE_CONFLICT, key,
                              "%s is %g periods, but a demand given as a pmf is of whole periods: give a whole number "
                              "or another model",
                              key, periods);
    return make(model, periods, extra, arena, pmf) || rule_fault_memory(fault);
}
