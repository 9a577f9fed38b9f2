#include "kiosk/rules/fefo_waste_random.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/fefo_lot_case.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"lots", "grid", "model", NULL};
    static const char *const lot_keys[] = {"id", "quantity", "expires_period", "opened", "received", NULL};
    struct fefo_waste_random_case asked = {0};
    struct fefo_waste_random_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.lots = fefo_lots_read(&in, lot_keys, "expires_period", false, &asked.lot_count);
    asked.grid = case_number_or(&in, "grid", CASE_POSITIVE, 1);
    asked.model = case_model_or(&in, "model", false);
    if (!case_good(&in) || !fefo_waste_random(&asked, arena, &answer, fault))
        return false;
    json_t *list = case_put_list(out, "lots");
    for (size_t i = 0; i < answer.lot_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer.lots[i].id);
        case_put_number(item, "expected_waste", answer.expected_waste ? answer.expected_waste[i] : RULE_NULL);
        case_put_number(item, "p_waste", answer.p_waste ? answer.p_waste[i] : RULE_NULL);
    }
    case_put_number(out, "total_expected_waste", answer.total_expected_waste);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case fefo_waste_random_rule = {"fefo-waste-random", compute};
