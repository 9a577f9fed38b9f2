#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/rules/order_by_cost.h"
#include "kiosk/rules/order_by_waste.h"

/* One name, three ways to order: each reads its own keys and has its own answer. */

static const struct fefo_lot *read_on_hand(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"id", "quantity", "expires_period", NULL};
    const json_t *list = case_list(in, "on_hand", count);
    struct fefo_lot *lots = case_room(in, *count, sizeof *lots);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "on_hand", list, i, keys);
        lots[i].id = case_text(&item, "id");
        lots[i].quantity = (double)case_count(&item, "quantity", 0, INT64_MAX);
        lots[i].expires = case_number(&item, "expires_period", CASE_ANY);
        lots[i].received = RULE_NO_DAY;
    }
    case_unique_in(in, "on_hand", "id", lots, *count, sizeof *lots, offsetof(struct fefo_lot, id));
    return lots;
}

static void put_table(json_t *out, const struct order_by_waste_answer *answer)
{
    json_t *list = answer->table ? case_put_list(out, "table") : NULL;
    if (!list)
        case_put_null(out, "table");
    for (size_t i = 0; list && i < answer->table_count; i++) {
        json_t *item = case_put_item(list);
        case_put_count(item, "quantity", answer->table[i].quantity);
        case_put_number(item, "expected_waste", answer->table[i].expected_waste);
        case_put_number(item, "waste_share", answer->table[i].waste_share);
    }
}

static bool by_waste(struct case_in *in, json_t *out)
{
    struct order_by_waste_case asked = {0};
    struct order_by_waste_answer answer;
    asked.on_hand = read_on_hand(in, &asked.on_hand_count);
    asked.new_expires_period = case_number(in, "new_expires_period", CASE_POSITIVE);
    asked.model = case_model_or(in, "model", false);
    asked.max_waste_share = case_number_or(in, "max_waste_share", CASE_NOT_NEGATIVE, 0.05);
    asked.pack = case_count_or(in, "pack", 1, INT64_MAX, 1);
    asked.max_quantity = case_count_or(in, "max_quantity", 0, INT64_MAX, 100);
    if (!case_good(in) || !order_by_waste(&asked, in->arena, &answer, in->fault))
        return false;
    case_put_count(out, "quantity", answer.chosen.quantity);
    case_put_number(out, "expected_waste", answer.chosen.expected_waste);
    case_put_number(out, "waste_share", answer.chosen.waste_share);
    case_put_number(out, "expected_waste_on_hand", answer.expected_waste_on_hand);
    put_table(out, &answer);
    case_put_said(out, &answer.said);
    return true;
}

static bool by_newsvendor(struct case_in *in, json_t *out)
{
    struct newsvendor_case asked = {0};
    struct newsvendor_answer answer;
    asked.cost_under = case_number(in, "cost_under", CASE_POSITIVE);
    asked.cost_over = case_number(in, "cost_over", CASE_POSITIVE);
    asked.model = case_model_or(in, "model", true);
    if (case_good(in) && asked.model.kind == DEMAND_NONE)
        case_fail(in, RULE_MISSING, "model", "'model' is missing: give the demand that the order is for");
    if (!case_good(in) || !newsvendor(&asked, in->arena, &answer, in->fault))
        return false;
    case_put_number(out, "ratio", answer.ratio);
    case_put_count(out, "quantity", answer.quantity);
    case_put_number(out, "quantity_exact", answer.quantity_exact);
    case_put_number(out, "p_enough", answer.p_enough);
    case_put_said(out, &answer.said);
    return true;
}

static bool by_eoq(struct case_in *in, json_t *out)
{
    struct eoq_case asked = {0};
    struct eoq_answer answer;
    asked.order_cost = case_number(in, "order_cost", CASE_POSITIVE);
    asked.demand_per_year = case_number(in, "demand_per_year", CASE_POSITIVE);
    asked.holding_cost_per_unit_year = case_number(in, "holding_cost_per_unit_year", CASE_POSITIVE);
    asked.usable_life_months = case_number_or(in, "usable_life_months", CASE_NOT_NEGATIVE, RULE_NULL);
    if (!case_good(in) || !eoq(&asked, in->arena, &answer, in->fault))
        return false;
    case_put_number(out, "eoq", answer.eoq);
    case_put_number(out, "life_cap", answer.life_cap);
    case_put_number(out, "quantity_exact", answer.quantity_exact);
    case_put_text(out, "limited_by", answer.limited_by);
    case_put_said(out, &answer.said);
    return true;
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const words[] = {"waste-limited", "newsvendor", "eoq", NULL};
    static const char *const any[] = {"method",
                                      "on_hand",
                                      "new_expires_period",
                                      "model",
                                      "pack",
                                      "max_waste_share",
                                      "max_quantity",
                                      "cost_under",
                                      "cost_over",
                                      "order_cost",
                                      "demand_per_year",
                                      "holding_cost_per_unit_year",
                                      "usable_life_months",
                                      NULL};
    static const char *const keys[][8] = {
        {"method", "on_hand", "new_expires_period", "model", "max_waste_share", "pack", "max_quantity"},
        {"method", "cost_under", "cost_over", "model"},
        {"method", "order_cost", "demand_per_year", "holding_cost_per_unit_year", "usable_life_months"}};
    static bool (*const ways[])(struct case_in *, json_t *) = {by_waste, by_newsvendor, by_eoq};
    struct case_in in;
    case_open(&in, object, "", any, arena, fault);
    const int way = case_word_or(&in, "method", words, 0);
    if (!case_good(&in))
        return false;
    case_open(&in, object, "", keys[way], arena, fault); /* what is a key of another way is not one of this */
    return ways[way](&in, out);
}

const struct rule_case order_quantity_rule = {"order-quantity", compute};
