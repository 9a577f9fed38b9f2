#include "kiosk/rules/sample_size.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/rules/sampling.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"population", "accuracy", "confidence", "wrong_allowed", NULL};
    struct sample_size_case asked = {0};
    struct sample_size_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.population = case_count_or(&in, "population", 1, SAMPLING_MOST, RULE_NO_COUNT);
    asked.accuracy = case_number(&in, "accuracy", CASE_INSIDE);
    asked.confidence = case_number_or(&in, "confidence", CASE_INSIDE, 0.95);
    asked.wrong_allowed = case_count_or(&in, "wrong_allowed", 0, SAMPLING_MOST, 0);
    if (!case_good(&in) || !sample_size(&asked, arena, &answer, fault))
        return false;
    case_put_flag(out, "possible", answer.possible);
    case_put_count(out, "sample", answer.sample);
    case_put_count(out, "wrong_breaking", answer.wrong_breaking);
    case_put_number(out, "risk", answer.risk);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case sample_size_rule = {"sample-size", compute};
