#include "kiosk/rules/fefo_simulate.h"

#include "kiosk/cases/case_demand.h"
#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/fefo_lot_case.h"

enum { REPLICATIONS = 10000, MOST_REPLICATIONS = 1000000, SEED = 1 };

static const struct fefo_simulate_lot *read_lots(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"id",       "quantity",       "expires_period", "opened",
                                       "received", "arrives_period", "delay_pmf",      NULL};
    const struct fefo_lot *plain = fefo_lots_read(in, keys, "expires_period", true, count);
    struct fefo_simulate_lot *lots = case_room(in, *count, sizeof *lots);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "lots", json_object_get(in->object, "lots"), i, keys);
        lots[i].lot = plain[i];
        lots[i].arrives_period = case_count_or(&item, "arrives_period", 0, INT64_MAX, 0);
        if (case_has(&item, "delay_pmf"))
            lots[i].delay = case_pmf(&item, "delay_pmf");
    }
    return lots;
}

static void put_simulated(json_t *object, const char *key, const char *se_key, const struct fefo_simulated *value)
{
    case_put_number(object, key, value ? value->mean : RULE_NULL);
    case_put_number(object, se_key, value ? value->se : RULE_NULL);
}

static void put_answer(json_t *out, const struct fefo_simulate_case *asked, const struct fefo_simulate_answer *answer)
{
    json_t *list = case_put_list(out, "lots");
    for (size_t i = 0; i < answer->lot_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer->lots[i].id);
        put_simulated(item, "expected_waste", "se", answer->waste ? &answer->waste[i] : NULL);
        case_put_number(item, "p_waste", answer->p_waste ? answer->p_waste[i] : RULE_NULL);
    }
    put_simulated(out, "total_expected_waste", "total_se", &answer->total);
    put_simulated(out, "expected_unmet", "unmet_se", &answer->unmet);
    put_simulated(out, "expected_refused", "refused_se", &answer->refused);
    case_put_count(out, "replications", asked->replications);
    case_put_count(out, "seed", (int64_t)asked->seed);
    case_put_said(out, &answer->said);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"lots",     "grid",         "model", "life_left_pmf",
                                       "asked_by", "replications", "seed",  NULL};
    static const char *const words[] = {"unit", "period", NULL};
    struct fefo_simulate_case asked = {0};
    struct fefo_simulate_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.lots = read_lots(&in, &asked.lot_count);
    asked.grid = case_number_or(&in, "grid", CASE_POSITIVE, 1);
    asked.model = case_model_or(&in, "model", false);
    if (case_has(&in, "life_left_pmf"))
        asked.life_left = case_pmf(&in, "life_left_pmf");
    asked.asked_by = case_word_or(&in, "asked_by", words, ASKED_BY_UNIT) == 0 ? ASKED_BY_UNIT : ASKED_BY_PERIOD;
    asked.replications = case_count_or(&in, "replications", 2, MOST_REPLICATIONS, REPLICATIONS);
    asked.seed = (uint64_t)case_count_or(&in, "seed", 0, INT64_MAX, SEED);
    if (!case_good(&in) || !fefo_simulate(&asked, arena, &answer, fault))
        return false;
    put_answer(out, &asked, &answer);
    return true;
}

const struct rule_case fefo_simulate_rule = {"fefo-simulate", compute};
