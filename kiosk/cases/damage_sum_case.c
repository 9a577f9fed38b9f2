#include "kiosk/rules/damage_sum.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/damage_hours.h"

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"ratings", "used", "limit", NULL};
    struct damage_sum_case asked = {0};
    struct damage_sum_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.ratings = damage_ratings_read(&in, &asked.rating_count);
    asked.used = damage_hours_read(&in, "used", CASE_NOT_NEGATIVE, &asked.used_count);
    asked.limit = case_number_or(&in, "limit", (struct case_range){0, 1, true, false}, 1);
    if (!case_good(&in) || !damage_sum(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "damage", answer.damage);
    if (answer.hours_left) {
        json_t *list = case_put_list(out, "hours_left");
        for (size_t i = 0; i < asked.rating_count; i++) {
            json_t *item = case_put_item(list);
            case_put_text(item, "class", asked.ratings[i].class);
            case_put_number(item, "hours", answer.hours_left[i]);
        }
    } else {
        case_put_null(out, "hours_left");
    }
    case_put_truth(out, "retire", answer.retire);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case damage_sum_rule = {"damage-sum", compute};
