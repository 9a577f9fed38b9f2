#include "kiosk/rules/enough.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"volume_ml",  "u_ml",  "need_ml",  "heel_ml", "need_u_ml",
                                       "need_share", "level", "no_level", NULL};
    static const char *const verdicts[] = {
        [ENOUGH_NO] = "not-enough", [ENOUGH_NOT_SURE] = "not-sure", [ENOUGH_YES] = "enough"};
    struct enough_case asked;
    struct enough_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.volume_ml = case_number(&in, "volume_ml", CASE_ANY);
    asked.u_ml = case_number(&in, "u_ml", CASE_NOT_NEGATIVE);
    asked.need_ml = case_number(&in, "need_ml", CASE_NOT_NEGATIVE);
    asked.heel_ml = case_number_or(&in, "heel_ml", CASE_NOT_NEGATIVE, 0);
    asked.need_u_ml = case_number_or(&in, "need_u_ml", CASE_NOT_NEGATIVE, RULE_NULL);
    asked.need_share = case_number_or(&in, "need_share", CASE_NOT_NEGATIVE, 0);
    asked.level = case_number_or(&in, "level", (struct case_range){0.5, 1, false, true}, 0.95);
    if (case_good(&in) && case_has(&in, "need_u_ml") && case_has(&in, "need_share"))
        case_fail(&in, RULE_CONFLICT, "need_share",
                  "'need_u_ml' and 'need_share' say the same thing: give one of them");
    asked.no_level = case_number_or(&in, "no_level", (struct case_range){0, asked.level, false, false}, 0.5);
    if (!case_good(&in) || !enough(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "margin_ml", answer.margin_ml);
    case_put_number(out, "u_margin_ml", answer.u_margin_ml);
    case_put_number(out, "p_enough", answer.p_enough);
    case_put_text(out, "answer", verdicts[answer.verdict]);
    case_put_number(out, "largest_need_ml", answer.largest_need_ml);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case enough_rule = {"enough", compute};
