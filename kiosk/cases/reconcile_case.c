#include "kiosk/rules/reconcile.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"ledger_ml",  "ledger_u_ml",  "jobs_ml", "job_share", "correlated",
                                       "weighed_ml", "weighed_u_ml", "limit",   NULL};
    struct reconcile_case asked = {0};
    struct reconcile_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.ledger_ml = case_number(&in, "ledger_ml", CASE_ANY);
    asked.ledger_u_ml = case_number(&in, "ledger_u_ml", CASE_NOT_NEGATIVE);
    asked.jobs_ml = case_numbers(&in, "jobs_ml", CASE_NOT_NEGATIVE, false, &asked.job_count);
    asked.job_share = case_number_or(&in, "job_share", CASE_NOT_NEGATIVE, 0.05);
    asked.correlated = case_flag_or(&in, "correlated", true);
    asked.weighed_ml = case_number(&in, "weighed_ml", CASE_ANY);
    asked.weighed_u_ml = case_number(&in, "weighed_u_ml", CASE_POSITIVE);
    asked.limit = case_number_or(&in, "limit", CASE_POSITIVE, 2);
    if (!case_good(&in) || !reconcile(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "ledger_u_now_ml", answer.ledger_u_now_ml);
    case_put_number(out, "difference_ml", answer.difference_ml);
    case_put_number(out, "z", answer.z);
    case_put_flag(out, "alarm", answer.alarm);
    case_put_number(out, "fused_ml", answer.fused_ml);
    case_put_number(out, "fused_u_ml", answer.fused_u_ml);
    case_put_number(out, "movement_ml", answer.movement_ml);
    case_put_number(out, "guard_ml", answer.guard_ml);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case reconcile_rule = {"reconcile", compute};
