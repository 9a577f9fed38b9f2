#include "kiosk/rules/weigh.h"

#include <string.h>

static const double AIR = 0.0012, WEIGHTS = 8.0; /* g/ml */
static const double COVERAGE = 2;                /* of the expanded uncertainty: about 95 % */
static const double FAR = 3;                     /* standard uncertainties above nominal that are no accident */

static double root_of_squares(const double *parts, int count)
{
    double sum = 0;
    for (int i = 0; i < count; i++)
        sum = hypot(sum, parts[i]);
    return sum;
}

static void measure(const struct weigh_case *asked, double stretch, struct weigh_answer *answer)
{
    const double k = answer->buoyancy_factor, net = asked->gross_g - asked->tare_g,
                 warmer = asked->temperature_c - asked->reference_c;
    const double mass[] = {asked->repeatability_g, asked->calibration_g, asked->tare_u_g,
                           asked->resolution_g / sqrt(12)};
    const double mass_u = root_of_squares(mass, 4), density_u = asked->density_limit / sqrt(3);
    answer->volume_ml = net * k / answer->density_now;
    answer->volume_ref_ml = net * k / asked->density;
    const double now[] = {mass_u * k / answer->density_now, density_u * answer->volume_ml / asked->density,
                          asked->temperature_limit_k / sqrt(3) * answer->volume_ml * asked->expansion_per_k / stretch,
                          asked->expansion_limit_per_k / sqrt(3) * answer->volume_ml * warmer / stretch};
    const double at_reference[] = {mass_u * k / asked->density, density_u * answer->volume_ref_ml / asked->density};
    answer->u_ml = root_of_squares(now, 4);
    answer->u_ref_ml = root_of_squares(at_reference, 2);
    answer->expanded_ml = COVERAGE * answer->u_ml;
}

static const char *reason_against(const struct weigh_case *asked, const struct weigh_answer *answer)
{
    if (asked->id_weighed && asked->id_scanned && strcmp(asked->id_weighed, asked->id_scanned) != 0)
        return "id-differs";
    if (!rule_is_null(asked->zero_reading_g) && fabs(asked->zero_reading_g) > asked->resolution_g)
        return "scale-not-zero";
    if (asked->gross_g < asked->tare_g)
        return "below-tare";
    if (!rule_is_null(asked->nominal_ml) &&
        answer->volume_ref_ml > asked->nominal_ml + FAR * answer->u_ref_ml + RULE_SLACK)
        return "above-nominal";
    return NULL;
}

static void say_below_tare(struct weigh_answer *answer)
{
    static const char *const keys[] = {"volume_ml", "u_ml", "volume_ref_ml", "u_ref_ml", "expanded_ml"};
    answer->volume_ml = answer->u_ml = answer->volume_ref_ml = answer->u_ref_ml = answer->expanded_ml = RULE_NULL;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], "it weighs less than the empty container: is it the right one?");
}

static const char *sentence_of(const struct weigh_case *asked, const struct weigh_answer *answer, struct arena *arena)
{
    if (!answer->reason && answer->expanded_ml == 0) /* no uncertainty was stated */
        return rule_text(arena, "%.0f ml.", answer->volume_ml);
    if (!answer->reason)
        return rule_text(arena, "%.0f ml, give or take %.0f ml.", answer->volume_ml, ceil(answer->expanded_ml));
    if (strcmp(answer->reason, "id-differs") == 0)
        return rule_text(arena, "Not booked: %s was scanned, but %s stands on the scale. Weigh again.",
                         asked->id_scanned, asked->id_weighed);
    if (strcmp(answer->reason, "scale-not-zero") == 0)
        return rule_text(arena, "Not booked: the empty scale shows %g g. Set it to zero and weigh again.",
                         asked->zero_reading_g);
    if (strcmp(answer->reason, "below-tare") == 0)
        return rule_text(arena, "Not booked: %.10g g is less than the empty container's %.10g g. Is it the right one?",
                         asked->gross_g, asked->tare_g);
    return rule_text(arena, "Not booked: %.0f ml is more than the %.0f ml it can hold. Check tare and density.",
                     answer->volume_ref_ml, asked->nominal_ml);
}

bool weigh(const struct weigh_case *asked, struct arena *arena, struct weigh_answer *answer, struct rule_fault *fault)
{
    const double stretch = 1 + asked->expansion_per_k * (asked->temperature_c - asked->reference_c);
    *answer = (struct weigh_answer){.said = {.method = "mass over density, uncertainty by propagation (JCGM 100)"}};
    if (!(stretch > 0))
        return rule_fault_set(fault, RULE_RANGE, "temperature_c",
                              "with this expansion nothing would be left at %g °C: check both", asked->temperature_c);
    answer->density_now = asked->density / stretch;
    if (asked->buoyancy && !(answer->density_now > AIR))
        return rule_fault_set(
            fault, RULE_RANGE, "density_g_per_ml",
            "a resin that is no heavier than air (%g g/ml) cannot be weighed in it: check the density", AIR);
    answer->buoyancy_factor = asked->buoyancy ? (1 - AIR / WEIGHTS) / (1 - AIR / answer->density_now) : 1;
    measure(asked, stretch, answer);
    if (!isfinite(answer->volume_ml + answer->volume_ref_ml + answer->expanded_ml + answer->u_ref_ml))
        return rule_fault_set(fault, RULE_RANGE, "",
                              "these numbers are too large to be reckoned with: check the units");
    answer->reason = reason_against(asked, answer);
    answer->accepted = !answer->reason;
    if (asked->gross_g < asked->tare_g)
        say_below_tare(answer);
    answer->said.sentence = sentence_of(asked, answer, arena);
    return true;
}
