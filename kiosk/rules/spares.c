#include "kiosk/rules/spares.h"

static const double *chances(const struct spares_case *asked, struct arena *arena)
{
    if (asked->probabilities)
        return asked->probabilities;
    double *made = arena_take(arena, asked->vat_count, sizeof *made);
    for (size_t i = 0; made && i < asked->vat_count; i++)
        made[i] = -expm1(-weibull_hazard(asked->life, asked->hours[i], asked->horizon_hours));
    return made;
}

/* One vat after the other: with it k have failed if k had before and it does not, or k - 1 had and it does. From the
 * top, so that one array does. */
static bool count_failures(const double *probabilities, size_t vats, struct arena *arena, struct pmf *pmf)
{
    *pmf = (struct pmf){arena_take(arena, vats + 1, sizeof *pmf->p), vats + 1};
    if (!pmf->p)
        return false;
    pmf->p[0] = 1;
    for (size_t i = 0; i < vats; i++) {
        for (size_t k = i + 1; k > 0; k--)
            pmf->p[k] = pmf->p[k] * (1 - probabilities[i]) + pmf->p[k - 1] * probabilities[i];
        pmf->p[0] *= 1 - probabilities[i];
    }
    return true;
}

bool spares(const struct spares_case *asked, struct arena *arena, struct spares_answer *answer,
            struct rule_fault *fault)
{
    *answer = (struct spares_answer){.said = {.method = "Poisson-binomial distribution, exact"}};
    if (asked->vat_count > SPARES_VATS)
        return rule_fault_set(fault, RULE_RANGE, asked->probabilities ? "probabilities" : "hours",
                              "there are %zu vats, but at most %d can be counted at once", asked->vat_count,
                              (int)SPARES_VATS);
    answer->probabilities = chances(asked, arena);
    if (!answer->probabilities || !count_failures(answer->probabilities, asked->vat_count, arena, &answer->pmf))
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->vat_count; i++)
        answer->mean += answer->probabilities[i];
    answer->spares = pmf_quantile(&answer->pmf, asked->target);
    answer->said.sentence =
        rule_text(arena, "Of %zu vats about %.1f will wear out; %zu spare%s %s enough with a chance of %.3g %%.",
                  asked->vat_count, answer->mean, answer->spares, answer->spares == 1 ? "" : "s",
                  answer->spares == 1 ? "is" : "are", 100 * pmf_at_most(&answer->pmf, (double)answer->spares));
    return true;
}
