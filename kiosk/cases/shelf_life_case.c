#include "kiosk/rules/shelf_life.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static struct shelf_life_span read_span(struct case_in *in, const char *months_key, const char *days_key)
{
    return (struct shelf_life_span){.months = case_count_or(in, months_key, 0, INT64_MAX, RULE_NO_COUNT),
                                    .days = case_count_or(in, days_key, 0, INT64_MAX, RULE_NO_COUNT)};
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"today",          "expires",      "gs1_date",     "made",
                                       "life_months",    "life_days",    "opened",       "open_life_months",
                                       "open_life_days", "needed_until", "minimum_days", NULL};
    struct shelf_life_case asked = {0};
    struct shelf_life_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.today = case_day(&in, "today");
    asked.expires = case_day_or(&in, "expires", RULE_NO_DAY);
    asked.gs1_date = case_text_or(&in, "gs1_date", NULL);
    asked.made = case_day_or(&in, "made", RULE_NO_DAY);
    asked.life = read_span(&in, "life_months", "life_days");
    asked.opened = case_day_or(&in, "opened", RULE_NO_DAY);
    asked.open_life = read_span(&in, "open_life_months", "open_life_days");
    asked.needed_until = case_day_or(&in, "needed_until", RULE_NO_DAY);
    asked.minimum_days = case_count_or(&in, "minimum_days", 0, INT64_MAX, RULE_NO_COUNT);
    if (!case_good(&in) || !shelf_life(&asked, arena, &answer, fault))
        return false;
    case_put_day(out, "lot_expires", answer.lot_expires);
    case_put_day(out, "open_expires", answer.open_expires);
    case_put_day(out, "expires", answer.expires);
    case_put_text(out, "limited_by", answer.limited_by);
    case_put_count(out, "days_left", answer.days_left);
    case_put_truth(out, "expired", answer.expired);
    case_put_flag(out, "day_was_00", answer.day_was_00);
    case_put_truth(out, "usable_then", answer.usable_then);
    case_put_truth(out, "short_dated", answer.short_dated);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case shelf_life_rule = {"shelf-life", compute};
