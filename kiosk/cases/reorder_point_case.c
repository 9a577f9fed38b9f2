#include "kiosk/rules/reorder_point.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

#define MOST_PIECES ((int64_t)1 << 53)

static bool read_case(const json_t *object, struct arena *arena, struct reorder_point_case *asked,
                      struct rule_fault *fault)
{
    static const char *const keys[] = {
        "model",    "lead_periods", "lead_variance", "review_periods", "measure", "target", "on_hand",
        "on_order", "backorders",   "pack",          "order_quantity", "cap",     NULL};
    static const char *const measures[] = {"cycle", "fill", NULL};
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked->model = case_model_or(&in, "model", true);
    asked->lead_periods = case_number(&in, "lead_periods", CASE_POSITIVE);
    asked->lead_variance = case_number_or(&in, "lead_variance", CASE_NOT_NEGATIVE, 0);
    asked->review_periods = case_number_or(&in, "review_periods", CASE_NOT_NEGATIVE, 0);
    asked->measure = (enum reorder_measure)case_word_or(&in, "measure", measures, REORDER_CYCLE);
    asked->target = case_number(&in, "target", CASE_INSIDE);
    asked->order_quantity = case_number_or(&in, "order_quantity", CASE_POSITIVE, RULE_NULL);
    asked->on_hand = case_number_or(&in, "on_hand", CASE_NOT_NEGATIVE, RULE_NULL);
    asked->on_order = case_number_or(&in, "on_order", CASE_NOT_NEGATIVE, 0);
    asked->backorders = case_number_or(&in, "backorders", CASE_NOT_NEGATIVE, 0);
    asked->pack = case_count_or(&in, "pack", 1, MOST_PIECES, 1);
    asked->cap = case_count_or(&in, "cap", 0, MOST_PIECES, RULE_NO_COUNT);
    return case_good(&in);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    struct reorder_point_case asked = {0};
    struct reorder_point_answer answer;
    if (!read_case(object, arena, &asked, fault) || !reorder_point(&asked, arena, &answer, fault))
        return false;
    if (asked.model.kind == DEMAND_NORMAL)
        case_put_number(out, "level", answer.level);
    else
        case_put_count(out, "level", (int64_t)answer.level);
    case_put_number(out, "k", answer.k);
    case_put_number(out, "cycle_service", answer.cycle_service);
    case_put_number(out, "fill_rate", answer.fill_rate);
    case_put_number(out, "expected_short", answer.expected_short);
    case_put_number(out, "position", answer.position);
    case_put_truth(out, "order", answer.order);
    case_put_count(out, "suggested_quantity", answer.suggested_quantity);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case reorder_point_rule = {"reorder-point", compute};
