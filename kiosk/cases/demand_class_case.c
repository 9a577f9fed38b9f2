#include "kiosk/rules/demand_class.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"demand", "adi", "cv2", NULL};
    static const char *const adis[] = {"periods", "mean-interval", "mean-interval-after-first", NULL};
    static const char *const cv2s[] = {"n-1", "n", NULL};
    struct demand_class_case asked = {0};
    struct demand_class_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.series.demand = case_demand(&in, "demand", true, &asked.series.count, NULL);
    asked.adi = (enum demand_adi)case_word_or(&in, "adi", adis, DEMAND_ADI_PERIODS);
    asked.cv2_over_n = case_word_or(&in, "cv2", cv2s, 0) == 1;
    if (!case_good(&in) || !demand_class(&asked, arena, &answer, fault))
        return false;
    case_put_count(out, "periods", (int64_t)answer.periods);
    case_put_count(out, "nonzero", (int64_t)answer.nonzero);
    case_put_number(out, "mean", answer.mean);
    case_put_number(out, "adi", answer.adi);
    case_put_number(out, "cv2", answer.cv2);
    case_put_text(out, "class", demand_class_word(answer.class));
    case_put_text(out, "estimator", answer.class == DEMAND_CLASS_NULL ? NULL : forecast_method_words[answer.estimator]);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case demand_class_rule = {"demand-class", compute};
