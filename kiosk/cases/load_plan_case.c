#include "kiosk/rules/load_plan.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static const int64_t MOST = (int64_t)1 << 53;

static const struct load_cartridge *read_cartridges(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"id",   "usable_ml", "expires", "open_until", "opened",
                                       "held", "reserved",  "resin",   "revision",   NULL};
    const json_t *list = case_list(in, "cartridges", count);
    struct load_cartridge *cartridges = case_room(in, *count, sizeof *cartridges);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "cartridges", list, i, keys);
        cartridges[i].id = case_text(&item, "id");
        cartridges[i].usable_ml = case_count(&item, "usable_ml", -MOST, MOST);
        cartridges[i].expires = case_day(&item, "expires");
        cartridges[i].open_until = case_day_or(&item, "open_until", RULE_NO_DAY);
        cartridges[i].opened = case_flag_or(&item, "opened", false);
        cartridges[i].held = case_flag_or(&item, "held", false);
        cartridges[i].reserved = case_flag_or(&item, "reserved", false);
        cartridges[i].resin = case_text_or(&item, "resin", NULL);
        cartridges[i].revision = case_text_or(&item, "revision", NULL);
    }
    return cartridges;
}

static void put_picks(json_t *out, const struct load_plan_answer *answer)
{
    json_t *list = case_put_list(out, "picks");
    for (size_t i = 0; i < answer->pick_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer->picks[i].id);
        case_put_count(item, "take_ml", answer->picks[i].take_ml);
    }
}

static void put_excluded(json_t *out, const struct load_plan_answer *answer)
{
    json_t *list = case_put_list(out, "excluded");
    for (size_t i = 0; i < answer->excluded_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer->excluded[i].id);
        case_put_text(item, "reason", answer->excluded[i].reason);
    }
}

static void put_answer(json_t *out, const struct load_plan_answer *answer)
{
    case_put_flag(out, "possible", answer->possible);
    put_picks(out, answer);
    case_put_count(out, "total_ml", answer->total_ml);
    case_put_count(out, "slack_ml", answer->slack_ml);
    case_put_count(out, "changes", answer->changes);
    case_put_count(out, "sealed_opened", answer->sealed_opened);
    case_put_count(out, "partials_after", answer->partials_after);
    case_put_count(out, "dreg_left_ml", answer->dreg_left_ml);
    case_put_count(out, "available_ml", answer->available_ml);
    case_put_count(out, "shortage_ml", answer->shortage_ml);
    put_excluded(out, answer);
    case_put_said(out, &answer->said);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"need_ml", "slots",    "job_end",    "objective", "dreg_ml",
                                       "resin",   "revision", "cartridges", NULL};
    static const char *const objectives[] = {
        [LOAD_PARTIALS] = "partials", [LOAD_FEFO] = "fefo", [LOAD_BEST_FIT] = "best-fit", NULL};
    struct load_plan_case asked = {0};
    struct load_plan_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.need_ml = case_count(&in, "need_ml", 1, MOST);
    asked.slots = case_count(&in, "slots", 1, MOST);
    asked.job_end = case_day(&in, "job_end");
    asked.objective = (enum load_objective)case_word_or(&in, "objective", objectives, LOAD_PARTIALS);
    asked.dreg_ml = case_count_or(&in, "dreg_ml", 0, MOST, 40);
    asked.resin = case_text_or(&in, "resin", NULL);
    asked.revision = case_text_or(&in, "revision", NULL);
    asked.cartridges = read_cartridges(&in, &asked.cartridge_count);
    if (!case_unique_in(&in, "cartridges", "id", asked.cartridges, asked.cartridge_count, sizeof *asked.cartridges,
                        offsetof(struct load_cartridge, id)) ||
        !load_plan(&asked, arena, &answer, fault))
        return false;
    put_answer(out, &answer);
    return true;
}

const struct rule_case load_plan_rule = {"load-plan", compute};
