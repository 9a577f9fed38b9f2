#include "kiosk/cases/case_table.h"

/* In the order of docs/compute, one a line. */
/* clang-format off */
const struct rule_case *const cases[] = {
    &shelf_life_rule,
    &fefo_waste_rule,
    &fefo_waste_random_rule,
    &fefo_simulate_rule,
    &latest_start_rule,
    &order_quantity_rule,
    &load_plan_rule,
    &demand_class_rule,
    &demand_forecast_rule,
    &lead_time_demand_rule,
    &reorder_point_rule,
    &forecast_compare_rule,
    &life_channels_rule,
    &damage_sum_rule,
    &wear_map_rule,
    &survival_rule,
    &weibull_fit_rule,
    &life_update_rule,
    &spares_rule,
    &record_accuracy_rule,
    &abc_class_rule,
    &sample_size_rule,
    &match_count_rule,
    &mix_rule,
    &recall_rule,
    &weigh_rule,
    &enough_rule,
    &reconcile_rule,
    NULL,
};
/* clang-format on */
