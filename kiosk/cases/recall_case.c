#include "kiosk/rules/recall.h"

#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/mix_in.h"

static void put_amounts(json_t *out, const char *key, const struct recall_amount *amounts, size_t count)
{
    json_t *list = case_put_list(out, key);
    for (size_t i = 0; i < count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", amounts[i].id);
        case_put_number(item, "quantity_ml", amounts[i].ml);
        case_put_number(item, "fraction", amounts[i].fraction);
    }
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"lot", "lots", "containers", "events", NULL};
    struct recall_case asked = {0};
    struct recall_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.lot = case_text(&in, "lot");
    mix_in(&in, &asked.mix);
    if (!case_good(&in) || !recall(&asked, arena, &answer, fault))
        return false;
    case_put_count(out, "count", (int64_t)(answer.container_count + answer.job_count));
    put_amounts(out, "containers", answer.containers, answer.container_count);
    put_amounts(out, "jobs", answer.jobs, answer.job_count);
    json_t *cleaned = case_put_list(out, "cleaned");
    for (size_t i = 0; i < answer.cleaned_count; i++)
        (void)json_array_append_new(cleaned, json_string(answer.cleaned[i]));
    case_put_number(out, "wasted_ml", answer.wasted_ml);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case recall_rule = {"recall", compute};
