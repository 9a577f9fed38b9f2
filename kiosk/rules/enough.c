#include "kiosk/rules/enough.h"

#include <gsl/gsl_cdf.h>

/* The need n at which the margin is z of its own uncertainties: drawable - n = z sqrt(u^2 + share^2 n^2), of which the
 * lesser root is written so that nothing cancels, and that a share of 1/z or more does no harm. */
static double largest_need(const struct enough_case *asked)
{
    const double z = gsl_cdf_ugaussian_Pinv(asked->level), drawable = asked->volume_ml - asked->heel_ml;
    if (!rule_is_null(asked->need_u_ml))
        return fmax(0, drawable - z * hypot(asked->u_ml, asked->need_u_ml));
    if (!(drawable > z * asked->u_ml))
        return 0;
    const double zs = z * asked->need_share, zu = z * asked->u_ml;
    const double root = sqrt(fmax(0, zu * zu * (1 - zs * zs) + zs * zs * drawable * drawable));
    return (drawable - zu) * (drawable + zu) / (drawable + root);
}

static const char *sentence_of(const struct enough_case *asked, const struct enough_answer *answer, struct arena *arena)
{
    const double percent = floor(100 * answer->p_enough); /* never better than it is */
    if (answer->verdict == ENOUGH_YES)
        return rule_text(arena, "Enough (%.0f %%): about %.0f ml will be left over.", percent,
                         fmax(0, answer->margin_ml));
    if (answer->verdict == ENOUGH_NOT_SURE)
        return rule_text(arena,
                         "Not sure to be enough (%.0f %%): weigh again, or load a second one. Up to %.0f ml would be.",
                         percent, floor(answer->largest_need_ml));
    return answer->margin_ml < 0
               ? rule_text(arena, "Not enough: %.0f ml are lacking. Load another.", ceil(-answer->margin_ml))
               : rule_text(arena, "Not enough to be relied on (%.0f %%) for %.0f ml. Load another.", percent,
                           asked->need_ml);
}

bool enough(const struct enough_case *asked, struct arena *arena, struct enough_answer *answer,
            struct rule_fault *fault)
{
    const double need_u = rule_is_null(asked->need_u_ml) ? asked->need_share * asked->need_ml : asked->need_u_ml;
    const double margin = asked->volume_ml - asked->heel_ml - asked->need_ml, u = hypot(asked->u_ml, need_u);
    *answer = (struct enough_answer){.said = {.method = "normal margin with a guard band (JCGM 106)"},
                                     .margin_ml = margin,
                                     .u_margin_ml = u,
                                     .largest_need_ml = largest_need(asked)};
    answer->p_enough = u > 0 ? gsl_cdf_ugaussian_P(margin / u) : margin >= -RULE_SLACK ? 1 : 0;
    if (!isfinite(margin) || !isfinite(u) || !isfinite(answer->largest_need_ml) || !isfinite(answer->p_enough))
        return rule_fault_set(fault, RULE_RANGE, "",
                              "these numbers are too large to be reckoned with: check the units");
    answer->verdict = answer->p_enough >= asked->level - RULE_PROBABILITY_SLACK     ? ENOUGH_YES
                      : answer->p_enough < asked->no_level - RULE_PROBABILITY_SLACK ? ENOUGH_NO
                                                                                    : ENOUGH_NOT_SURE;
    answer->said.sentence = sentence_of(asked, answer, arena);
    return true;
}
