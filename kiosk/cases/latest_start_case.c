#include "kiosk/rules/latest_start.h"

#include <string.h>

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static const struct fefo_lot *read_lots(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"id", "quantity_ml", "expires", NULL};
    const json_t *list = case_list(in, "lots", count);
    struct fefo_lot *lots = case_room(in, *count, sizeof *lots);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "lots", list, i, keys);
        lots[i].id = case_text(&item, "id");
        lots[i].quantity = case_number(&item, "quantity_ml", CASE_POSITIVE);
        lots[i].expires = case_day(&item, "expires").number;
        lots[i].received = RULE_NO_DAY;
    }
    case_unique_in(in, "lots", "id", lots, *count, sizeof *lots, offsetof(struct fefo_lot, id));
    return lots;
}

static const struct day *read_days(struct case_in *in, const char *key, size_t *count)
{
    const char **texts = case_texts(in, key, false, count);
    struct day *days = case_room(in, *count, sizeof *days);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct fault reason = {0};
        if (!calendar_read_date(texts[i], strlen(texts[i]), &days[i], &reason))
            case_fail(in, RULE_DATE, rule_text(in->arena, "%s.%zu", key, i), "'%s.%zu': %s", key, i, reason.text);
    }
    return days;
}

static void read_closed(struct case_in *in, struct latest_start_case *asked)
{
    size_t count = 0;
    const int64_t *weekdays = case_counts(in, "closed_weekdays", 1, 7, false, &count);
    for (size_t i = 0; case_good(in) && i < count; i++)
        asked->closed_weekday[weekdays[i]] = true;
    asked->closed_dates = read_days(in, "closed_dates", &asked->closed_date_count);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {
        "today", "lots", "rate_ml_per_day", "pmf", "grid_ml", "risk", "closed_weekdays", "closed_dates", NULL};
    struct latest_start_case asked = {0};
    struct latest_start_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.today = case_day(&in, "today");
    asked.lots = read_lots(&in, &asked.lot_count);
    asked.rate_ml_per_day = case_number_or(&in, "rate_ml_per_day", CASE_NOT_NEGATIVE, RULE_NULL);
    if (case_has(&in, "pmf"))
        asked.pmf = case_pmf(&in, "pmf");
    asked.grid_ml = case_number_or(&in, "grid_ml", CASE_POSITIVE, 1);
    asked.risk = case_number_or(&in, "risk", CASE_INSIDE, 0.05);
    read_closed(&in, &asked);
    if (!case_good(&in) || !latest_start(&asked, arena, &answer, fault))
        return false;
    json_t *list = case_put_list(out, "lots");
    for (size_t i = 0; i < answer.lot_count; i++) {
        const struct latest_start_lot *lot = &answer.lots[i];
        json_t *item = case_put_item(list);
        case_put_text(item, "id", lot->id);
        case_put_count(item, "days_needed", lot->days_needed);
        case_put_day(item, "last_working_day", lot->last_working_day);
        case_put_day(item, "latest_start", lot->latest_start);
        case_put_day(item, "expected_start", lot->expected_start);
        case_put_truth(item, "late", lot->late);
    }
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case latest_start_rule = {"latest-start", compute};
