#ifndef KIOSK_CASES_CASE_TABLE_H
#define KIOSK_CASES_CASE_TABLE_H

#include "kiosk/cases/case.h"

/* Each stands in RULE_case.c. A new one is named here and in case_table.c. */
extern const struct rule_case shelf_life_rule;
extern const struct rule_case fefo_waste_rule;
extern const struct rule_case fefo_waste_random_rule;
extern const struct rule_case fefo_simulate_rule;
extern const struct rule_case latest_start_rule;
extern const struct rule_case order_quantity_rule;
extern const struct rule_case load_plan_rule;
extern const struct rule_case demand_class_rule;
extern const struct rule_case demand_forecast_rule;
extern const struct rule_case lead_time_demand_rule;
extern const struct rule_case reorder_point_rule;
extern const struct rule_case forecast_compare_rule;
extern const struct rule_case life_channels_rule;
extern const struct rule_case damage_sum_rule;
extern const struct rule_case wear_map_rule;
extern const struct rule_case survival_rule;
extern const struct rule_case weibull_fit_rule;
extern const struct rule_case life_update_rule;
extern const struct rule_case spares_rule;
extern const struct rule_case record_accuracy_rule;
extern const struct rule_case abc_class_rule;
extern const struct rule_case sample_size_rule;
extern const struct rule_case match_count_rule;
extern const struct rule_case mix_rule;
extern const struct rule_case recall_rule;
extern const struct rule_case weigh_rule;
extern const struct rule_case enough_rule;
extern const struct rule_case reconcile_rule;

#endif
