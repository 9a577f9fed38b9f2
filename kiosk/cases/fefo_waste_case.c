#include "kiosk/rules/fefo_waste.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/fefo_lot_case.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"lots", "demand_per_day", "demand", NULL};
    static const char *const lot_keys[] = {"id", "quantity", "expires_day", "opened", "received", NULL};
    struct fefo_waste_case asked = {0};
    struct fefo_waste_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.lots = fefo_lots_read(&in, lot_keys, "expires_day", true, &asked.lot_count);
    asked.per_day = case_number_or(&in, "demand_per_day", CASE_NOT_NEGATIVE, RULE_NULL);
    asked.demand = case_numbers(&in, "demand", CASE_NOT_NEGATIVE, false, &asked.demand_count);
    if (!case_good(&in) || !fefo_waste(&asked, arena, &answer, fault))
        return false;
    json_t *list = case_put_list(out, "lots");
    for (size_t i = 0; i < answer.lot_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer.lots[i].id);
        case_put_count(item, "expires_day", (int64_t)answer.lots[i].expires);
        case_put_number(item, "waste", answer.waste ? answer.waste[i] : RULE_NULL);
    }
    case_put_number(out, "total_waste", answer.total_waste);
    case_put_number(out, "unmet", answer.unmet);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case fefo_waste_rule = {"fefo-waste", compute};
