#include "kiosk/cases/case_table.h"

/* In the order of docs/compute. */
const struct rule_case *const cases[] = {
    &damage_sum_rule,
    NULL,
};
