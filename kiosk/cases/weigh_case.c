#include "kiosk/rules/weigh.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static void read(struct case_in *in, struct weigh_case *asked)
{
    asked->gross_g = case_number(in, "gross_g", CASE_ANY);
    asked->tare_g = case_number(in, "tare_g", CASE_ANY);
    asked->density = case_number(in, "density_g_per_ml", CASE_POSITIVE);
    asked->reference_c = case_number_or(in, "reference_c", CASE_ANY, 25);
    asked->temperature_c = case_number_or(in, "temperature_c", CASE_ANY, asked->reference_c);
    asked->expansion_per_k = case_number_or(in, "expansion_per_k", CASE_NOT_NEGATIVE, 0);
    asked->buoyancy = case_flag_or(in, "buoyancy", false);
    asked->repeatability_g = case_number_or(in, "repeatability_g", CASE_NOT_NEGATIVE, 0);
    asked->calibration_g = case_number_or(in, "calibration_g", CASE_NOT_NEGATIVE, 0);
    asked->tare_u_g = case_number_or(in, "tare_u_g", CASE_NOT_NEGATIVE, 0);
    asked->resolution_g = case_number_or(in, "resolution_g", CASE_NOT_NEGATIVE, 0);
    asked->density_limit = case_number_or(in, "density_limit", CASE_NOT_NEGATIVE, 0);
    asked->temperature_limit_k = case_number_or(in, "temperature_limit_k", CASE_NOT_NEGATIVE, 0);
    asked->expansion_limit_per_k = case_number_or(in, "expansion_limit_per_k", CASE_NOT_NEGATIVE, 0);
    asked->nominal_ml = case_number_or(in, "nominal_ml", CASE_POSITIVE, RULE_NULL);
    asked->zero_reading_g = case_number_or(in, "zero_reading_g", CASE_ANY, RULE_NULL);
    asked->id_weighed = case_text_or(in, "id_weighed", NULL);
    asked->id_scanned = case_text_or(in, "id_scanned", NULL);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"gross_g",
                                       "tare_g",
                                       "density_g_per_ml",
                                       "reference_c",
                                       "temperature_c",
                                       "buoyancy",
                                       "calibration_g",
                                       "expansion_per_k",
                                       "repeatability_g",
                                       "tare_u_g",
                                       "resolution_g",
                                       "density_limit",
                                       "temperature_limit_k",
                                       "expansion_limit_per_k",
                                       "nominal_ml",
                                       "id_weighed",
                                       "id_scanned",
                                       "zero_reading_g",
                                       NULL};
    struct weigh_case asked = {0};
    struct weigh_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read(&in, &asked);
    if (!case_good(&in) || !weigh(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "density_now", answer.density_now);
    case_put_number(out, "buoyancy_factor", answer.buoyancy_factor);
    case_put_number(out, "volume_ml", answer.volume_ml);
    case_put_number(out, "u_ml", answer.u_ml);
    case_put_number(out, "volume_ref_ml", answer.volume_ref_ml);
    case_put_number(out, "u_ref_ml", answer.u_ref_ml);
    case_put_number(out, "expanded_ml", answer.expanded_ml);
    case_put_flag(out, "accepted", answer.accepted);
    case_put_text(out, "reason", answer.reason);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case weigh_rule = {"weigh", compute};
