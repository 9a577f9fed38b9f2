#include "kiosk/rules/damage_sum.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static const struct damage_hours *read_hours(struct case_in *in, const char *key, struct case_range range,
                                             size_t *count)
{
    static const char *const keys[] = {"class", "hours", NULL};
    const json_t *list = case_list(in, key, count);
    struct damage_hours *hours = case_room(in, *count, sizeof *hours);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, key, list, i, keys);
        hours[i].class = case_text(&item, "class");
        hours[i].hours = case_number(&item, "hours", range);
    }
    return hours;
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"ratings", "used", "limit", NULL};
    struct damage_sum_case asked = {0};
    struct damage_sum_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.ratings = read_hours(&in, "ratings", CASE_POSITIVE, &asked.rating_count);
    asked.used = read_hours(&in, "used", CASE_NOT_NEGATIVE, &asked.used_count);
    asked.limit = case_number_or(&in, "limit", (struct case_range){0, 1, true, false}, 1);
    if (!case_unique_in(&in, "ratings", "class", asked.ratings, asked.rating_count, sizeof *asked.ratings,
                        offsetof(struct damage_hours, class)) ||
        !damage_sum(&asked, arena, &answer, fault))
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
