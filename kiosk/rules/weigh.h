#ifndef KIOSK_RULES_WEIGH_H
#define KIOSK_RULES_WEIGH_H

#include "kiosk/rules/rule.h"

/* What a container holds, by weight, and how well that is known. Uncertainty by the law of propagation, JCGM 100:2008
 * (GUM) 5.1.2; a resolution d is d / sqrt 12, a limit a is a / sqrt 3 (4.3.7). Buoyancy: weights of 8.0 g/ml in air of
 * 0.0012 g/ml, as scales are adjusted (OIML R 111-1, from memory). The volume at the reference temperature needs no
 * temperature, for mass over density there is all there is to it: it is what belongs into a ledger. */

struct weigh_case {
    double gross_g, tare_g;
    double density; /* g/ml at the reference temperature, > 0 */
    double reference_c, temperature_c;
    double expansion_per_k; /* of the volume, >= 0 */
    bool buoyancy;
    double repeatability_g, calibration_g, tare_u_g;                  /* standard uncertainties, >= 0 */
    double resolution_g;                                              /* >= 0 */
    double density_limit, temperature_limit_k, expansion_limit_per_k; /* plus or minus, >= 0 */
    double nominal_ml, zero_reading_g;                                /* RULE_NULL: not known */
    const char *id_weighed, *id_scanned;                              /* NULL: not known */
};

struct weigh_answer {
    struct rule_said said;
    double density_now, buoyancy_factor;                          /* the factor is 1 without buoyancy */
    double volume_ml, u_ml, volume_ref_ml, u_ref_ml, expanded_ml; /* RULE_NULL when it weighs less than empty */
    bool accepted;
    const char *reason; /* against it: "id-differs", "scale-not-zero", "below-tare", "above-nominal"; NULL: none */
};

bool weigh(const struct weigh_case *asked, struct arena *arena, struct weigh_answer *answer, struct rule_fault *fault);

#endif
